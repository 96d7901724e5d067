/* SPDX-License-Identifier: MIT
 * `thrice serve`: options, signals, the one line on standard output.
 */
#include "cmd.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <time.h>
#include <unistd.h>

#include "app.h"
#include "base/log.h"
#include "base/mem.h"
#include "base/text.h"
#include "http/server.h"

enum { MAX_CONNECTIONS = 1000, DEADLINE_S = 15, LOOPS = 2 };

static const char help[] =
    "thrice serve --data DIR [--listen HOST:PORT | unix:PATH] [--origin URL]\n"
    "             [--tls-cert FILE --tls-key FILE] [--behind-proxy ADDRESS]\n"
    "             [--max-connections N] [--loops N] [--rate N] [--web-dir DIR]\n"
    "             [--log debug|info|warn]\n"
    "\n"
    "Serves one school. Prints one line, `listening on ...`, when it is ready; ends on SIGTERM,\n"
    "after what was accepted is stored and answered. Once a night it does what thrice purge\n"
    "does.\n"
    "  --listen           default 127.0.0.1:8080; port 0 picks a free one. An address beyond this\n"
    "                     machine needs TLS.\n"
    "  --origin           the school's public address, https://HOST: what links and QR codes say\n"
    "  --behind-proxy     the address of the one proxy whose X-Forwarded-For is believed\n"
    "  --max-connections  default 1000\n"
    "  --loops            event-loop threads, default 2\n"
    "  --rate             requests a second of one session, one known browser, or all others of\n"
    "                     an address; default 20 (in a burst three times that); files are not\n"
    "                     counted\n"
    "  --web-dir          for development: pages from this folder, fresh at each request\n";

static bool number(const char *text, int64_t low, int64_t high, int *out)
{
    int64_t v;
    if (!text) {
        return true;
    }
    if (!text_int(text, low, high, &v)) {
        return false;
    }
    *out = (int)v;
    return true;
}

static bool log_option(const char *text)
{
    if (!text || strcmp(text, "info") == 0) {
        return true;
    }
    if (strcmp(text, "debug") == 0) {
        log_least(LOG_DEBUG);
        return true;
    }
    if (strcmp(text, "warn") == 0) {
        log_least(LOG_WARN);
        return true;
    }
    return false;
}

/* No core of a process that holds keys and names; nothing gained by an exec; as many sockets as
 * the system lets us have. */
static void drop_what_we_can(void)
{
    struct rlimit files, none = {0, 0};
    umask(0077);
    prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0);
    signal(SIGXFSZ, SIG_IGN); /* over a limit on file sizes a write fails, as on a full disk */
#ifndef __SANITIZE_ADDRESS__ /* the leak check needs to look into its own process */
    setrlimit(RLIMIT_CORE, &none);
    prctl(PR_SET_DUMPABLE, 0);
#else
    (void)none;
#endif
    if (getrlimit(RLIMIT_NOFILE, &files) == 0) {
        files.rlim_cur = files.rlim_max;
        setrlimit(RLIMIT_NOFILE, &files);
    }
}

/* sd_notify(3) without its library: one datagram to the socket that the service manager names. */
static void tell_manager(const char *state)
{
    const char *path = getenv("NOTIFY_SOCKET");
    struct sockaddr_un sa = {.sun_family = AF_UNIX};
    if (!path || (path[0] != '/' && path[0] != '@') || strlen(path) >= sizeof sa.sun_path) {
        return;
    }
    memcpy(sa.sun_path, path, strlen(path) + 1);
    socklen_t len = (socklen_t)(offsetof(struct sockaddr_un, sun_path) + strlen(path));
    if (sa.sun_path[0] == '@') {
        sa.sun_path[0] = '\0';
    }
    int fd = socket(AF_UNIX, SOCK_DGRAM | SOCK_CLOEXEC, 0);
    if (fd >= 0) {
        if (sendto(fd, state, strlen(state), MSG_NOSIGNAL, (struct sockaddr *)&sa, len) < 0) {
            log_event(LOG_WARN, "notify", "errno=%d", errno);
        }
        close(fd);
    }
}

static int serve(void *ctx, const struct app_options *o)
{
    sigset_t end;
    sigemptyset(&end);
    sigaddset(&end, SIGTERM);
    sigaddset(&end, SIGINT);
    pthread_sigmask(SIG_BLOCK, &end, NULL); /* before any thread: all inherit it */
    drop_what_we_can();

    struct app *app;
    const char *why;
    if (app_start(ctx, o, &app, &why) != OK) {
        return cmd_fail("serve", "%s", why);
    }
    printf("listening on %s\n", app_address(app));
    fflush(stdout);
    tell_manager("READY=1");
    int got;
    do {
        const struct timespec wait = {.tv_sec = app_look(app)};
        got = sigtimedwait(&end, NULL, &wait);
    } while (got < 0);      /* EAGAIN: time is up; EINTR: a signal that is not ours */
    tell_manager("STOPPING=1");
    log_event(LOG_INFO, "stopping", "signal=%d", got);
    app_stop(app);
    return CMD_DONE;
}

int cmd_serve(int argc, char **argv)
{
    struct app_options o = {.max_connections = MAX_CONNECTIONS, .loops = LOOPS,
                            .deadline_s = DEADLINE_S};
    const char *max = NULL, *loops = NULL, *deadline = NULL, *rate = NULL, *log = NULL;
    const struct cmd_option options[] = {
        {.name = "data", .value = &o.data},
        {.name = "listen", .value = &o.listen},
        {.name = "tls-cert", .value = &o.tls_cert},
        {.name = "tls-key", .value = &o.tls_key},
        {.name = "behind-proxy", .value = &o.behind_proxy},
        {.name = "origin", .value = &o.origin},
        {.name = "web-dir", .value = &o.web_dir},
        {.name = "max-connections", .value = &max},
        {.name = "loops", .value = &loops},
        {.name = "deadline-s", .value = &deadline}, /* for tests: they cannot wait 15 s */
        {.name = "rate", .value = &rate},
        {.name = "log", .value = &log},
        {0},
    };
    int first, status = cmd_options(argc, argv, options, help, &first);
    if (status >= 0) {
        return status;
    }
    if (!o.data || first < argc) {
        return cmd_usage("serve", "%s", o.data ? "too many arguments" : "--data DIR is missing");
    }
    if (!o.tls_cert != !o.tls_key) {
        return cmd_usage("serve", "--tls-cert and --tls-key go together");
    }
    if (!number(max, 1, 100000, &o.max_connections) || !number(loops, 1, HTTP_LOOPS, &o.loops) ||
        !number(deadline, 1, 3600, &o.deadline_s) || !number(rate, 1, 1000000, &o.rate) ||
        !log_option(log)) {
        return cmd_usage("serve", "a number is out of range, or --log is unknown; see --help");
    }
    o.listen = o.listen ? o.listen : "127.0.0.1:8080";
    void *ctx = mem_root();
    status = serve(ctx, &o);
    talloc_free(ctx);
    return status;
}
