/* SPDX-License-Identifier: MIT
 * One line an event on standard error: `LEVEL event key=value ...`.
 * Ids and codes only: never a name, a result, a token, an address or a path from a request. */
#pragma once

enum log_level { LOG_DEBUG, LOG_INFO, LOG_WARN, LOG_ERROR };

/* Lines below `least` are dropped. Call before threads start. */
void log_least(enum log_level least);

/* `fmt` continues the line after `event`, e.g. log_event(LOG_INFO, "listening", "port=%d", p).
 * Thread-safe; one write(2) a line. */
void log_event(enum log_level level, const char *event, const char *fmt, ...)
    __attribute__((format(printf, 3, 4), cold));

/* The same, and a copy to the system's log: for a command whose standard error is a person's
 * screen, where a trace is to stay. */
void log_system(enum log_level level, const char *event, const char *fmt, ...)
    __attribute__((format(printf, 3, 4), cold));

/* Our own mistake: logs with file and line; aborts in builds without NDEBUG. */
#define log_bug(what) log_bug_at(__FILE__, __LINE__, (what))
void log_bug_at(const char *file, int line, const char *what) __attribute__((cold));
