/** The sheets of one gathering, for who may see them all. */
export function gatheringTabs(id: number, current: 'people' | 'agenda' | 'packing') {
  return [
    { href: `/gatherings/${id}`, label: 'Who comes', current: current === 'people' },
    { href: `/gatherings/${id}/agenda`, label: 'Agenda', current: current === 'agenda' },
    { href: `/gatherings/${id}/packing`, label: 'Packing list', current: current === 'packing' },
  ];
}
