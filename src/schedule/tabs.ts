const GROUPS = [
  {
    group: 'What comes',
    tabs: [
      { href: '/schedule', label: 'Bars' },
      { href: '/schedule/network', label: 'Network' },
      { href: '/schedule/risk', label: 'Risk' },
      { href: '/schedule/levelled', label: 'Levelled plan' },
    ],
  },
  {
    group: 'What to do',
    tabs: [
      { href: '/schedule/next', label: 'Release next' },
      { href: '/schedule/late', label: 'Late promises' },
      { href: '/schedule/what-if', label: 'What if' },
    ],
  },
  {
    group: 'What it rests on',
    tabs: [
      { href: '/schedule/durations', label: 'Durations' },
      { href: '/schedule/closures', label: 'Closures' },
      { href: '/schedule/soundness', label: 'Soundness' },
    ],
  },
  {
    group: 'What was',
    tabs: [
      { href: '/schedule/done', label: 'Done' },
      { href: '/schedule/moved', label: 'Why it moved' },
      { href: '/schedule/baselines', label: 'Kept plans' },
    ],
  },
] as const;

/** The pages of the schedule as links along the top, in groups; the one looked at is marked. */
export function scheduleTabs(current: (typeof GROUPS)[number]['tabs'][number]['href']) {
  return GROUPS.flatMap(({ group, tabs }) =>
    tabs.map((tab) => ({ ...tab, group, current: tab.href === current })),
  );
}
