/* SPDX-License-Identifier: MIT
 * What the subcommands share: options, and the one line that says what went wrong.
 */
#include "cmd.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>


enum { MAX_OPTIONS = 24 };

static int say(const char *command, const char *fmt, va_list ap)
{
    char line[512];
    vsnprintf(line, sizeof line, fmt, ap);
    return fprintf(stderr, "thrice %s: %s\n", command, line);
}

int cmd_fail(const char *command, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    say(command, fmt, ap);
    va_end(ap);
    return CMD_FAILED;
}

int cmd_usage(const char *command, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    say(command, fmt, ap);
    va_end(ap);
    return CMD_USAGE;
}

/* False: given twice, or too often. */
static bool option_take(const struct cmd_option *o, const char *given)
{
    if (o->flag) {
        *o->flag = true;
        return true;
    }
    if (o->list) {
        if (*o->list_n >= o->list_max) {
            return false;
        }
        o->list[(*o->list_n)++] = given;
        return true;
    }
    if (*o->value) {
        return false;
    }
    *o->value = given;
    return true;
}

int cmd_options(int argc, char **argv, const struct cmd_option *options, const char *help,
                int *first)
{
    struct option longs[MAX_OPTIONS + 2] = {{"help", no_argument, NULL, 'h'}};
    for (size_t i = 0; options[i].name && i < MAX_OPTIONS; i++) {
        longs[i + 1] = (struct option){options[i].name,
                                       options[i].flag ? no_argument : required_argument, NULL, 0};
    }
    optind = 0;
    opterr = 0;
    for (;;) {
        int at = 0;
        int got = getopt_long(argc, argv, ":h", longs, &at);
        if (got == -1) {
            break;
        }
        if (got == 'h') {
            fputs(help, stdout);
            return CMD_DONE;
        }
        if (got == ':') {
            return cmd_usage(argv[0], "%s needs a value; see thrice %s --help", argv[optind - 1],
                             argv[0]);
        }
        if (got != 0) {
            return cmd_usage(argv[0], "unknown option %s; see thrice %s --help",
                             argv[optind - 1], argv[0]);
        }
        if (!option_take(&options[at - 1], optarg)) {
            return cmd_usage(argv[0], "--%s was given too often", longs[at].name);
        }
    }
    *first = optind;
    return -1;
}
