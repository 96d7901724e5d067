/* SPDX-License-Identifier: MIT
 * The subcommands of `thrice` and what they share. A subcommand gets argv from its own name on
 * (argv[0] is "init") and returns the exit status. */
#pragma once

#include <getopt.h>
#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"

struct keys;
struct store;

enum {
    CMD_DONE = 0,       /* done                                                         */
    CMD_FAILED = 1,     /* refused or failed: one line on standard error says what, how to mend */
    CMD_USAGE = 2,      /* wrong usage                                                   */
};

int cmd_init(int argc, char **argv);
int cmd_demo(int argc, char **argv);
int cmd_serve(int argc, char **argv);
int cmd_staff(int argc, char **argv);
int cmd_roster(int argc, char **argv);
int cmd_cards(int argc, char **argv);
int cmd_export(int argc, char **argv);
int cmd_backup(int argc, char **argv);
int cmd_restore(int argc, char **argv);
int cmd_purge(int argc, char **argv);
int cmd_check(int argc, char **argv);
int cmd_routes(int argc, char **argv);

/* One option of a subcommand. Exactly one of the targets is set. */
struct cmd_option {
    const char *name;           /* "data", without the dashes                            */
    const char **value;         /* takes a value; may be given once                      */
    bool *flag;                 /* takes none                                            */
    const char **list;          /* may be given often: values go to list[0], list[1] ... */
    size_t *list_n, list_max;
};

/* Reads long options (`--data DIR`, `--data=DIR`) and leaves what else was given in
 * argv[*first .. argc-1]. Prints `help` on standard output for --help. Returns -1 to go on, else
 * the exit status to return at once (CMD_DONE after --help, CMD_USAGE with a line on standard
 * error for an option that is unknown, given twice, or lacks its value). `options` ends with a
 * zeroed entry. Arguments and options may be mixed. */
int cmd_options(int argc, char **argv, const struct cmd_option *options, const char *help,
                int *first);

/* "thrice init: <what>" on standard error; CMD_FAILED. For what went wrong in the world. */
int cmd_fail(const char *command, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
/* The same, for wrong usage; CMD_USAGE. */
int cmd_usage(const char *command, const char *fmt, ...) __attribute__((format(printf, 2, 3)));

/* What the purge waits for, a line each on standard output that begins with `mark`. */
struct purge_state;
void cmd_purge_waits(const struct purge_state *s, const char *mark);

/* The school of DIR for a command that writes: its store, its keys (refused when they are another
 * school's) and its time zone. What was opened is the caller's to close, also when something
 * failed; *why says how to mend it. */
enum err cmd_open(void *ctx, const char *dir, struct store **st, struct keys **keys,
                  const char **why) MUST_USE;
