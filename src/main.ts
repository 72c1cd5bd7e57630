import { serve } from './serve.ts';

serve(process.env).then(
  (address) => console.log(`Farwright serves on ${address}`),
  (fault: unknown) => {
    console.error(`farwright: ${fault instanceof Error ? fault.message : String(fault)}`);
    process.exit(1);
  },
);
