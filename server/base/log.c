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

#include "log_internal.h"

enum { LINE = 512 };

static enum log_level least_level = LOG_INFO;

static const char *const level_names[] = {
    [LOG_DEBUG] = "debug", [LOG_INFO] = "info", [LOG_WARN] = "warn", [LOG_ERROR] = "error"};

void log_least(enum log_level least)
{
    least_level = least;
}

/* One line in `line`, control characters made harmless; its length, or 0. */
static size_t put_together(char line[static LINE], enum log_level level, const char *event,
                           const char *fmt, va_list ap)
{
    int n = snprintf(line, LINE, "%s %s ", level_names[level], event);
    if (n < 0 || n >= LINE || vsnprintf(line + n, LINE - (size_t)n, fmt, ap) < 0) {
        return 0;
    }
    size_t len = strnlen(line, LINE - 1);
    for (size_t i = 0; i < len; i++) {
        if ((unsigned char)line[i] < 0x20 || line[i] == 0x7f) {
            line[i] = '?';
        }
    }
    return len;
}

static void write_line(char line[static LINE], size_t n)
{
    line[n] = '\n';
    ssize_t wrote = write(STDERR_FILENO, line, n + 1);
    (void)wrote; /* nowhere left to say so */
}

void log_event(enum log_level level, const char *event, const char *fmt, ...)
{
    if (level < least_level) {
        return;
    }
    char line[LINE];
    va_list ap;
    va_start(ap, fmt);
    size_t n = put_together(line, level, event, fmt, ap);
    va_end(ap);
    if (n > 0) {
        write_line(line, n);
    }
}

void log_system(enum log_level level, const char *event, const char *fmt, ...)
{
    char line[LINE];
    va_list ap;
    va_start(ap, fmt);
    size_t n = put_together(line, level, event, fmt, ap);
    va_end(ap);
    if (n > 0) {
        syslog_line(line);
        write_line(line, n);
    }
}

void log_bug_at(const char *file, int line, const char *what)
{
    log_event(LOG_ERROR, "bug", "at=%s:%d what=%s", file, line, what);
#ifndef NDEBUG
    abort();
#endif
}
