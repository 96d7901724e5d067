/* SPDX-License-Identifier: MIT
 * File 22: special functions. */
#pragma once

#include "assess/special.h"
#include "read.h"

static void check_special(const struct row *r)
{
    const char *f = cell(r, "function");
    double a[PARTS_MAX] = {0}, got = NAN;
    numbers(cell(r, "args"), '|', a);
    if (strcmp(f, "phi") == 0) {
        got = special_phi(a[0]);
    } else if (strcmp(f, "t_sf") == 0) {
        got = special_t_sf(a[0], a[1]);
    } else if (strcmp(f, "f_quantile") == 0) {
        got = special_f_quantile(a[0], a[1], a[2]);
    } else if (strcmp(f, "ibeta") == 0) {
        got = special_ibeta(a[0], a[1], a[2]);
    } else if (strcmp(f, "binom_sf") == 0) {
        got = special_binom_sf(a[0], a[1], a[2]);
    } else if (strcmp(f, "nbinom_sf") == 0) {
        got = special_nbinom_sf(a[0], a[1], a[2]);
    } else {
        fail(r, "unknown function");
        return;
    }
    same(r, f, got, cell_number(r, "value"));
}
