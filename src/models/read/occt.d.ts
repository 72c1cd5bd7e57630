/** What this program asks of the kernel that reads STEP. */
declare module 'occt-import-js' {
  interface OcctMesh {
    name: string;
    attributes: { position: { array: number[] }; normal?: { array: number[] } };
    index: { array: number[] };
  }

  interface OcctNode {
    name: string;
    meshes: number[];
    children: OcctNode[];
  }

  interface OcctResult {
    success: boolean;
    root: OcctNode;
    meshes: OcctMesh[];
  }

  interface OcctOptions {
    linearUnit?: 'millimeter';
    linearDeflectionType?: 'bounding_box_ratio' | 'absolute_value';
    linearDeflection?: number;
    angularDeflection?: number;
  }

  interface Occt {
    ReadStepFile(content: Uint8Array, options: OcctOptions | null): OcctResult;
  }

  function load(): Promise<Occt>;

  export type { Occt, OcctMesh, OcctNode, OcctResult };
  export default load;
}
