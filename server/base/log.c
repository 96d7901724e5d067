/* SPDX-License-Identifier: MIT
 * Lines for the journal.
 *
 * Owns: standard error. A line is put together on the stack and leaves in one write(2), so lines of
 * several threads never mix. Control characters in a value become '?': no value can forge a line.
 * Mutable file-scope state: the least level, set before threads start.
 */
#include "base/log.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { LINE = 512 };

static enum log_level least_level = LOG_INFO;

static const char *const level_names[] = {
    [LOG_DEBUG] = "debug", [LOG_INFO] = "info", [LOG_WARN] = "warn", [LOG_ERROR] = "error"};

void log_least(enum log_level least)
{
    least_level = least;
}

void log_event(enum log_level level, const char *event, const char *fmt, ...)
{
    if (level < least_level) {
        return;
    }
    char line[LINE];
    int head = snprintf(line, sizeof line, "%s %s ", level_names[level], event);
    if (head < 0 || head >= (int)sizeof line) {
        return;
    }
    va_list ap;
    va_start(ap, fmt);
    int tail = vsnprintf(line + head, sizeof line - (size_t)head, fmt, ap);
    va_end(ap);
    if (tail < 0) {
        return;
    }
    size_t n = strnlen(line, sizeof line - 1);
    for (size_t i = 0; i < n; i++) {
        if ((unsigned char)line[i] < 0x20 || line[i] == 0x7f) {
            line[i] = '?';
        }
    }
    line[n] = '\n';
    ssize_t wrote = write(STDERR_FILENO, line, n + 1);
    (void)wrote; /* nowhere left to say so */
}

void log_bug_at(const char *file, int line, const char *what)
{
    log_event(LOG_ERROR, "bug", "at=%s:%d what=%s", file, line, what);
#ifndef NDEBUG
    abort();
#endif
}
