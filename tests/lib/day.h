/* SPDX-License-Identifier: MIT
 * The moment at which a run of C tests takes place. THRICE_AT in the environment (seconds since
 * 1970) fixes clock_now() before main(), so that a whole program runs on a day of make check-days. */
#pragma once

/* Back to that moment, or to the real clock where none is given: what a test does that moved it. */
void day_reset(void);
