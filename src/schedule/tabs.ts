const TABS = [
  { href: '/schedule', label: 'Bars' },
  { href: '/schedule/done', label: 'Done' },
  { href: '/schedule/network', label: 'Network' },
  { href: '/schedule/risk', label: 'Risk' },
  { href: '/schedule/next', label: 'Release next' },
  { href: '/schedule/late', label: 'Late promises' },
  { href: '/schedule/what-if', label: 'What if' },
  { href: '/schedule/levelled', label: 'Levelled plan' },
  { href: '/schedule/baselines', label: 'Kept plans' },
  { href: '/schedule/durations', label: 'Durations' },
  { href: '/schedule/soundness', label: 'Soundness' },
  { href: '/schedule/closures', label: 'Closures' },
] as const;

/** The pages of the schedule as links along the top; the one looked at is marked. */
export function scheduleTabs(current: (typeof TABS)[number]['href']) {
  return TABS.map((tab) => ({ ...tab, current: tab.href === current }));
}
