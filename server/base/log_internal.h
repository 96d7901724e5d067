/* SPDX-License-Identifier: MIT
 * The system's own log. Apart from log.c because <syslog.h> has macros of the same names as our
 * levels, with other values. */
#pragma once

/* One line for whoever keeps the machine. */
void syslog_line(const char *line);
