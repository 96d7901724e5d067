/* SPDX-License-Identifier: MIT
 * Where a request comes from, as far as throttles care: three keyed hashes, never an address.
 * What one person may hold differs by protocol, so that each is counted at three widths:
 *
 *            near                 site                        wide
 *   IPv4     the address          the address                 its /24
 *   IPv6     /64, one link        /56, a usual home           /48, a usual site
 *
 * A /64 is one link (RFC 4291, 2.5.4), but homes are given /56 and sites /48 (RFC 6177): whoever
 * has one of those has 256 or 65,536 links to come from. */
#pragma once

#include <stdint.h>

struct client_keys {
    uint64_t near, site, wide;
};
