/* SPDX-License-Identifier: MIT
 * Runs a fuzz target without a fuzzer: every file of its corpus (tests/fuzz/corpus/<name>), then
 * seeded mutations of them. TAP. The seed is printed; THRICE_SEED and FUZZ_RUNS set others. A
 * broken promise, a sanitizer's finding or ten seconds for one input end the program by a signal. */
#include <dirent.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { FILES_MOST = 64, BYTES_MOST = 600, SECONDS = 10 };

static struct kept {
    uint8_t bytes[BYTES_MOST];
    size_t size;
} corpus[FILES_MOST];
static size_t kept;
static uint64_t state;

static uint64_t draw(void)
{
    uint64_t z = state += UINT64_C(0x9E3779B97F4A7C15);
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

static void read_corpus(const char *name)
{
    char path[1024];
    struct dirent **entry;
    snprintf(path, sizeof path, "tests/fuzz/corpus/%s", name);
    int n = scandir(path, &entry, NULL, alphasort);
    for (int i = 0; i < n; i++) {
        snprintf(path, sizeof path, "tests/fuzz/corpus/%s/%s", name, entry[i]->d_name);
        FILE *f = entry[i]->d_name[0] == '.' || kept == FILES_MOST ? NULL : fopen(path, "rb");
        if (f != NULL) {
            corpus[kept].size = fread(corpus[kept].bytes, 1, BYTES_MOST, f);
            kept++;
            fclose(f);
        }
        free(entry[i]);
    }
    free(n >= 0 ? entry : NULL);
}

static void run(const struct kept *in)
{
    uint8_t *exact = malloc(in->size > 0 ? in->size : 1);    /* a sanitizer sees a byte too far */
    memcpy(exact, in->bytes, in->size);
    alarm(SECONDS);
    LLVMFuzzerTestOneInput(exact, in->size);
    alarm(0);
    free(exact);
}

/* One file changed: bytes replaced, a piece of another put in, or anything at all. */
static void mutate(struct kept *m)
{
    *m = corpus[draw() % kept];
    if (draw() % 4 == 0) {
        m->size = 1 + draw() % (BYTES_MOST / 2);
        for (size_t i = 0; i < m->size; i++) {
            m->bytes[i] = (uint8_t)draw();
        }
        return;
    }
    if (draw() % 3 == 0) {
        const struct kept *other = &corpus[draw() % kept];
        size_t n = other->size > 0 ? draw() % other->size : 0, at = draw() % BYTES_MOST;
        n = n > BYTES_MOST - at ? BYTES_MOST - at : n;
        memcpy(m->bytes + at, other->bytes, n);
        m->size = m->size > at + n ? m->size : at + n;
    }
    for (uint64_t k = draw() % 16; k > 0 && m->size > 0; k--) {
        m->bytes[draw() % m->size] = (uint8_t)draw();
    }
    m->size = draw() % 8 == 0 ? draw() % (m->size + 1) : m->size;
}

int main(int argc, char **argv)
{
    const char *name = strrchr(argv[0], '/'), *seed = getenv("THRICE_SEED");
    const char *runs = getenv("FUZZ_RUNS");
    struct kept m;
    name = name != NULL ? name + 1 : argv[0];
    state = seed != NULL ? strtoull(seed, NULL, 10) : 1;
    long n = runs != NULL ? strtol(runs, NULL, 10) : argc > 1 ? strtol(argv[1], NULL, 10) : 4000;
    printf("1..2\n# %s: seed %llu\n", name, (unsigned long long)state);
    fflush(stdout);
    read_corpus(name);
    for (size_t i = 0; i < kept; i++) {
        run(&corpus[i]);
    }
    printf("%sok 1 - %zu kept inputs\n", kept > 0 ? "" : "not ", kept);
    fflush(stdout);
    for (long i = 0; i < n && kept > 0; i++) {
        mutate(&m);
        run(&m);
    }
    printf("%sok 2 - %ld mutations\n", kept > 0 && n > 0 ? "" : "not ", n);
    return kept > 0 && n > 0 ? 0 : 1;
}
