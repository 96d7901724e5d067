/* SPDX-License-Identifier: MIT
 * What the subcommands share: options, the one line that says what went wrong, reading a file.
 */
#include "cmd.h"

#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "base/mem.h"

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

char *cmd_read_file(void *ctx, const char *path, size_t max, size_t *n, const char **why)
{
    bool from_stdin = strcmp(path, "-") == 0;
    int fd = from_stdin ? STDIN_FILENO : open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY);
    if (fd < 0) {
        *why = strerror(errno);
        return NULL;
    }
    char *data = mem_array(ctx, char, max + 2);
    size_t len = 0;
    ssize_t got;
    do {
        got = read(fd, data + len, max + 1 - len);
        len += got > 0 ? (size_t)got : 0;
    } while ((got > 0 && len <= max) || (got < 0 && errno == EINTR));
    int failed = got < 0 ? errno : 0;
    if (!from_stdin) {
        close(fd);
    }
    if (failed || len > max) {
        *why = failed ? strerror(failed) : "too long";
        return NULL;
    }
    *n = len;
    return data;
}
