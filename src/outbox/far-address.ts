import { BlockList, isIP } from 'node:net';

// Addresses of a single link: where machines in a data centre are told their own keys (169.254.169.254), and what no
// hook of ours has to do with. Ranges: RFC 3927 (IPv4), RFC 4291, 2.5.6 (IPv6); multicast RFC 5771 and RFC 4291, 2.7.
const never = new BlockList();
never.addSubnet('169.254.0.0', 16, 'ipv4');
never.addSubnet('224.0.0.0', 4, 'ipv4');
never.addAddress('255.255.255.255', 'ipv4');
never.addSubnet('fe80::', 10, 'ipv6');
never.addSubnet('ff00::', 8, 'ipv6');
// The same as IPv6 writes them: IPv4-compatible (RFC 4291, 2.5.5.1), translated (RFC 6052, 2.1), by 6to4 (RFC 3056, 2).
never.addSubnet('::169.254.0.0', 112, 'ipv6');
never.addSubnet('64:ff9b::169.254.0.0', 112, 'ipv6');
never.addSubnet('2002:a9fe::', 32, 'ipv6');
// Where a large data centre tells a machine its keys by IPv6 (from memory).
never.addAddress('fd00:ec2::254', 'ipv6');

// RFC 1918, RFC 6598, loopback and "this host" (RFC 1122, 3.2.1.3), RFC 4193.
const near = new BlockList();
for (const [net, prefix] of [
  ['10.0.0.0', 8],
  ['172.16.0.0', 12],
  ['192.168.0.0', 16],
  ['100.64.0.0', 10],
  ['127.0.0.0', 8],
  ['0.0.0.0', 8],
] as const) {
  near.addSubnet(net, prefix, 'ipv4');
}
near.addAddress('::1', 'ipv6');
near.addAddress('::', 'ipv6');
near.addSubnet('fc00::', 7, 'ipv6');

function inList(list: BlockList, address: string): boolean {
  const family = isIP(address);
  if (family === 0) return false;
  return list.check(address, family === 4 ? 'ipv4' : 'ipv6');
}

/** Whether a call may never go to this IP address. An IPv4 address written as IPv6 (::ffff:a.b.c.d) counts as what it is. */
export function isForbidden(address: string): boolean {
  return inList(never, address);
}

/** Whether an IP address lies on this machine or in its own network. */
export function isNear(address: string): boolean {
  return inList(near, address);
}

/** The host of an address as an IP address, without the brackets of IPv6; null when it is a name. */
export function literalHost(url: URL): string | null {
  const host = url.hostname.replace(/^\[|\]$/g, '');
  return isIP(host) ? host : null;
}

/** Whether an address seems to lie in one's own network, as far as its words tell. */
export function seemsNear(url: URL): boolean {
  const literal = literalHost(url);
  if (literal) return isNear(literal);
  return (
    /(^|\.)(localhost|local|lan|home\.arpa|internal)$/i.test(url.hostname) || !url.hostname.includes('.')
  );
}
