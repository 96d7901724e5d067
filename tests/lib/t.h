/* SPDX-License-Identifier: MIT
 * What every cmocka program includes: cmocka needs these four before it. */
#pragma once

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <stdbool.h>

/* cmocka 1.1.5 compares float only; these say so in doubles. */
#define near_to(got, want, tolerance) \
    do { \
        double got_ = (got), want_ = (want), tol_ = (tolerance); \
        if (!(got_ >= want_ - tol_ && got_ <= want_ + tol_)) { \
            print_error("%s is %.17g, not within %g of %.17g\n", #got, got_, tol_, want_); \
            _fail(__FILE__, __LINE__); \
        } \
    } while (0)

#define T_COUNT(a) (sizeof(a) / sizeof *(a))
