/*
 * How long it takes to open the shape library: bench-library
 *
 * Cold: each time in a process of its own that has not touched the library's files or the XML
 * parser before, as a command does. Warm: again and again in one process.
 */
#include "rabbet/shape.h"

#include <stdio.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { TIMES = 25 };

/* Processor time, which others at work on the machine hardly change. */
static double now_ms(void)
{
    struct timespec now;

    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static double open_once(size_t *count)
{
    struct rab_library *library = NULL;
    struct rab_error err = {0};
    double start = now_ms(), time;

    if (!rab_library_open(NULL, 0, &library, NULL, &err)) {
        fprintf(stderr, "%s\n", err.text);
        exit(1);
    }
    time = now_ms() - start;
    *count = rab_library_count(library);
    rab_library_close(library);
    return time;
}

static double open_cold(void)
{
    int ends[2], status = 0;
    double time = 0;
    size_t count;
    pid_t child;

    if (pipe(ends) != 0 || (child = fork()) < 0) {
        perror("fork");
        exit(1);
    }
    if (child == 0) {
        time = open_once(&count);
        _exit(write(ends[1], &time, sizeof time) == sizeof time ? 0 : 1);
    }
    close(ends[1]);
    if (read(ends[0], &time, sizeof time) != sizeof time || waitpid(child, &status, 0) != child ||
        status != 0) {
        fprintf(stderr, "a process failed\n");
        exit(1);
    }
    close(ends[0]);
    return time;
}

static int compare(const void *a, const void *b)
{
    const double *first = a, *second = b;

    return (*first > *second) - (*first < *second);
}

static void say(const char *what, double *times)
{
    qsort(times, TIMES, sizeof *times, compare);
    printf("%s: %.2f ms (median of %d; %.2f to %.2f)\n", what, times[TIMES / 2], TIMES, times[0],
           times[TIMES - 1]);
}

int main(void)
{
    double cold[TIMES], warm[TIMES];
    size_t count = 0;

    for (int i = 0; i < TIMES; i++)
        cold[i] = open_cold();
    for (int i = 0; i < TIMES; i++)
        warm[i] = open_once(&count);
    printf("%zu shapes and motifs\n", count);
    say("cold", cold);
    say("warm", warm);
    return 0;
}
