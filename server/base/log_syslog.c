/* SPDX-License-Identifier: MIT */
#include "log_internal.h"

#include <syslog.h>

void syslog_line(const char *line)
{
    syslog(LOG_AUTH | LOG_WARNING, "thrice: %s", line);
}
