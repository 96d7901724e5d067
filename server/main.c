/* SPDX-License-Identifier: MIT
 * `thrice`: one table of subcommands.
 */
#include <stdio.h>
#include <string.h>

#include "cmd.h"
#include "http/route.h"
#include "http/router.h"
#include "http/server.h"

#define THRICE_VERSION "1.0.0"

static const struct {
    const char *name;
    int (*fn)(int argc, char **argv);
    const char *help;
} commands[] = {
    {"init", cmd_init, "a data folder, the first account, starter activities"},
    {"demo", cmd_demo, "a made-up school with two terms of results"},
    {"serve", cmd_serve, "serve a school"},
    {"staff", cmd_staff, "add, list and disable staff; a new passphrase"},
    {"roster", cmd_roster, "import a class list"},
    {"cards", cmd_cards, "new cards for a class as one printable page"},
    {"export", cmd_export, "results, one pupil's data, class lists"},
    {"backup", cmd_backup, "a copy of the database, also while serving"},
    {"restore", cmd_restore, "a data folder from a backup"},
    {"purge", cmd_purge, "delete what has been kept long enough"},
    {"check", cmd_check, "schema, integrity, permissions, settings"},
    {"routes", cmd_routes, "print the routing table"},
};

int cmd_routes(int argc, char **argv)
{
    int first, status = cmd_options(argc, argv, (const struct cmd_option[]){{0}},
                                    "thrice routes\n\nPrints method, path, who may, reads or "
                                    "writes, and purpose of every route, tab-separated.\n",
                                    &first);
    if (status >= 0) {
        return status;
    }
    router_print(routes, route_count, stdout);
    return CMD_DONE;
}

static void print_help(FILE *out)
{
    fputs("thrice COMMAND [OPTIONS]; thrice COMMAND --help says more\n", out);
    for (size_t i = 0; i < sizeof commands / sizeof *commands; i++) {
        fprintf(out, "  %-8s %s\n", commands[i].name, commands[i].help);
    }
}

static int print_version(void)
{
    printf("thrice %s (libmicrohttpd %s, jansson %s", THRICE_VERSION, http_library(),
           JANSSON_VERSION);
#ifdef __SANITIZE_ADDRESS__
    fputs(", address sanitizer", stdout);
#endif
    puts(")");
    return CMD_DONE;
}

int main(int argc, char **argv)
{
    if (argc < 2) {
        print_help(stderr);
        return CMD_USAGE;
    }
    if (strcmp(argv[1], "--version") == 0) {
        return print_version();
    }
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "help") == 0) {
        print_help(stdout);
        return CMD_DONE;
    }
    for (size_t i = 0; i < sizeof commands / sizeof *commands; i++) {
        if (strcmp(argv[1], commands[i].name) == 0) {
            int status = commands[i].fn(argc - 1, argv + 1);
            /* what could not be printed was not done */
            return fflush(stdout) == 0 ? status : CMD_FAILED;
        }
    }
    fprintf(stderr, "thrice: unknown command; thrice --help lists them\n");
    return CMD_USAGE;
}
