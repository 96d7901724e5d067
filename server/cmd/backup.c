/* SPDX-License-Identifier: MIT
 * `thrice backup`: one consistent, checked copy, also while the school is served. The copy holds
 * children's names and results in the clear: 0600, and where it is kept is the school's to see to.
 */
#include <inttypes.h>
#include <stdio.h>
#include <sys/stat.h>

#include "auth/audit.h"
#include "auth/keys.h"
#include "base/clock.h"
#include "base/mem.h"
#include "cmd.h"
#include "store/backup.h"
#include "store/school.h"
#include "store/store.h"
#include "store/upkeep.h"

static const char help[] =
    "thrice backup FILE --data DIR\n"
    "\n"
    "Writes a copy of the school's database to FILE (mode 0600) and checks it; the server may be\n"
    "running. An existing FILE is never replaced. The key DIR/master.key is not in the copy: keep\n"
    "it in another place. The copy holds names and results: keep it on an encrypted disk.\n";

/* The last audit row, to note in another place: a tail cut off later shows against it. */
static void print_head(void *ctx, const char *dir)
{
    struct store *st = NULL;
    struct keys *keys = NULL;
    struct audit_head head;
    const char *why = "";
    if (keys_load(dir, &keys, &why) == OK && store_open(ctx, dir, STORE_READ, &st, &why) == OK &&
        audit_verify(st, keys, &head) == OK) {
        if (head.broken_at) {
            puts("(the audit trail does not fit master.key; thrice check says more)");
        } else {
            printf("audit trail: row %" PRId64 ", %s\n", head.seq, head.mac);
        }
    }
    store_close(st);
    keys_free(keys);
}

static enum err note(struct store *st, void *arg)
{
    (void)arg;
    return upkeep_backed_up(st, clock_day(clock_now()));
}

/* The day, for the School page and `thrice check`; where the copy lies is nobody's business. The
 * backup is good also where the school cannot be written to (an older schema before an upgrade). */
static void note_day(void *ctx, const char *dir)
{
    struct store *st = NULL;
    const char *why = "";
    if (store_open(ctx, dir, STORE_WRITE, &st, &why) != OK || school_use_zone(st) != OK ||
        store_tx(st, "backup", note, NULL) != OK) {
        puts("(the day of this backup could not be noted in the school)");
    }
    store_close(st);
}

int cmd_backup(int argc, char **argv)
{
    const char *dir = NULL;
    const struct cmd_option options[] = {{.name = "data", .value = &dir}, {.name = NULL}};
    int first = 0;
    int status = cmd_options(argc, argv, options, help, &first);
    if (status >= 0) {
        return status;
    }
    if (!dir || argc - first != 1) {
        return cmd_usage("backup", "say FILE and --data DIR (see --help)");
    }
    void *ctx = mem_root();
    const char *why = "", *file = argv[first];
    struct stat s;
    if (backup_write(ctx, dir, file, &why) != OK) {
        status = cmd_fail("backup", "%s", why);
    } else {
        long long size = stat(file, &s) == 0 ? (long long)s.st_size : 0;
        printf("%s: %lld bytes, checked\n", file, size);
        print_head(ctx, dir);
        note_day(ctx, dir);
        status = CMD_DONE;
    }
    talloc_free(ctx);
    return status;
}
