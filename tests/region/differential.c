/*
 * The region room against GEOS, and against the definition, on seeded random cases.
 *
 *   test-region-differential [--seed N] [--cases N] [--first N] [--family NAME] [--verbose]
 *
 * Every case is judged four ways: the room's own check; the slow check of brute.h; probes, exact
 * points on both sides of every edge that is or could be; and GEOS on chords, where the area of the
 * symmetric difference may be no larger than the chords explain:
 *
 *   fill, combine   the area between the chords and their arcs, of input and result
 *   grow            an outline whose chords lie h inside moves by at most h, and its area by the
 *                   lengths it passes through: 2 h (P + 2 pi d) for each outline, and as much for
 *                   GEOS's own arcs (Steiner's formula bounds the perimeters)
 *
 * and RAB_SAME_POINT along every edge. A second judge decides when GEOS disagrees: for its buffer,
 * which thins out concave runs first, the union of a capsule about every chord; for its noding and
 * overlay in floating numbers, the same on a grid. A wrong case is made as small as it goes and
 * printed as C. The last line is "N passed, N failed"; the status is 1 when one failed.
 */
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/time.h>
#include <time.h>
#include <unistd.h>

#include "families.h"
#include "geos_truth.h"

enum verdict {
    PASSED,
    WRONG,
    REFUSED,
    UNVERIFIED,
};

/* Millimetres. The room joins points within RAB_SAME_POINT; when it tries again, within ten times
 * and a hundred times that. Points nearer than `skip` to an edge are not asked. A result that only
 * the close probes find wrong is counted as coarse. */
static const double close_skip = 1e-6, close_step = 4e-6, skip = 2e-5, step = 6e-5;
/* For GEOS when it fails in floating numbers: finer than RAB_SAME_POINT. */
static const double fine_grid = RAB_SAME_POINT / 4;

struct tally {
    unsigned long passed, wrong, refused, unverified, excused, spare, coarse;
    double worst;       /* edge of a result off its place, mm */
    double slowest;     /* s, of the room alone */
    unsigned long slowest_case;
    double room_seconds;
};

struct run {
    struct truth truth;
    struct tally tally;
    char why[320];
    bool verbose;
    bool spare;  /* the last result had vertices it did not need */
    bool coarse; /* and edges further off than RAB_SAME_POINT explains */
    size_t probes;
};

static double seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* What the handler of signals may say: set before every case, in memory that outlives a fault. */
static volatile sig_atomic_t running_case;
static void die(int signal_number)
{
    char text[96];
    const int n = snprintf(text, sizeof text, "signal %d in case %ld\n", signal_number,
                           (long)running_case);
    if (write(STDERR_FILENO, text, (size_t)n) < 0)
        _exit(4);
    _exit(3);
}

static void watch(double limit)
{
    const struct itimerval timer = {.it_value = {(time_t)limit, 0}};
    setitimer(ITIMER_VIRTUAL, &timer, NULL);
}

/* ---- judging one result ---- */

static enum verdict well_formed(struct run *run, const char *what, const struct rab_region *region)
{
    struct rab_error err = {0};
    const char *fault = region_fault(region);
    if (fault) {
        snprintf(run->why, sizeof run->why, "%s: %s", what, fault);
        return WRONG;
    }
    if (!rab_region_check(region, &err)) {
        snprintf(run->why, sizeof run->why, "%s: rab_region_check: %s", what, err.text);
        return WRONG;
    }
    run->spare |= region_spare_vertices(region) > 0;
    return PASSED;
}

static enum verdict refused(struct run *run, const char *what, const struct rab_error *err)
{
    snprintf(run->why, sizeof run->why, "%s refused: %s", what, err->text);
    return REFUSED;
}

/* A question to ask with any probes: which operation, on what. */
struct question {
    const struct trial *trial;
    const struct shapes *list;      /* fill */
    const struct rab_region *a, *b; /* grow: a alone */
    enum rab_combine how;
    const struct rab_region *result;
};

static bool probe(const struct question *q, struct probe_rule probes, struct probe_fault *fault)
{
    if (q->list)
        return probe_fill(q->list->items, q->list->count, q->trial->rule, q->result, probes, fault);
    if (q->b)
        return probe_combine(q->a, q->b, q->how, q->result, probes, fault);
    return probe_grow(q->a, q->trial->distance, q->trial->join, q->trial->limit, q->result, probes,
                      fault);
}

static enum verdict probed(struct run *run, const char *what, const struct question *q)
{
    struct probe_rule probes = {
        .skip = close_skip, .step = close_step, .at_most = run->probes, .numbers = {7}};
    struct probe_fault fault = {0};
    bool right = probe(q, probes, &fault);
    if (!right) {
        probes.skip = skip;
        probes.step = step;
        right = probe(q, probes, &fault);
        run->coarse |= right;
    }
    run->tally.worst = fmax(run->tally.worst, right ? fault.error : 0);
    if (right)
        return PASSED;
    snprintf(run->why, sizeof run->why, "%s at %.9g, %.9g: %s", what, fault.at.x, fault.at.y,
             fault.text);
    return WRONG;
}

/* What the room's second attempt may move points by, in place of the first. */
static const double second_attempt = 10;

static enum verdict compare(struct run *run, const char *what, const GEOSGeometry *want,
                            const struct chorded *got, double bound, double welded, double grid)
{
    if (!want || !got->shape) {
        snprintf(run->why, sizeof run->why, "%s: GEOS gave up: %s", what, run->truth.message);
        return UNVERIFIED;
    }
    const double apart = truth_apart(&run->truth, want, got->shape, grid);
    if (apart < 0) {
        snprintf(run->why, sizeof run->why, "%s: GEOS gave up: %s", what, run->truth.message);
        return UNVERIFIED;
    }
    run->coarse |= apart > bound + welded;
    if (apart <= bound + second_attempt * welded)
        return PASSED;
    double area = 0, other = 0;
    GEOSArea_r(run->truth.geos, want, &area);
    GEOSArea_r(run->truth.geos, got->shape, &other);
    snprintf(run->why, sizeof run->why,
             "%s: GEOS has area %.9g, the room's chords %.9g; %.3g apart, chords explain %.3g",
             what, area, other, apart, bound + welded);
    return WRONG;
}

/* Area by which joined points may differ, along every edge. */
static double weld(const struct chorded *chorded)
{
    return 3 * RAB_SAME_POINT * chorded->length + 1e-9;
}

static enum verdict judge_fill(struct run *run, const char *what, const struct shapes *list,
                               const struct trial *trial, const struct rab_region *region)
{
    enum verdict verdict = well_formed(run, what, region);
    if (verdict == PASSED)
        verdict = probed(run, what,
                         &(struct question){.trial = trial, .list = list, .result = region});
    if (verdict != PASSED)
        return verdict;
    struct chorded want =
        truth_fill(&run->truth, list->items, list->count, trial->rule, trial->sagitta, 0);
    struct chorded got = truth_region(&run->truth, region, trial->sagitta);
    const double bound = want.segments + got.segments, welded = weld(&want);
    verdict = compare(run, what, want.shape, &got, bound, welded, 0);
    chorded_clear(&run->truth, &want);
    if (verdict != PASSED) {
        want = truth_fill(&run->truth, list->items, list->count, trial->rule, trial->sagitta, fine_grid);
        verdict = compare(run, what, want.shape, &got, bound, welded, fine_grid);
        chorded_clear(&run->truth, &want);
        run->tally.excused += verdict == PASSED;
    }
    chorded_clear(&run->truth, &got);
    return verdict;
}

/* All four combinations, each with its own judges, and their areas against each other. */
static enum verdict judge_combine(struct run *run, const struct trial *trial,
                                  const struct rab_region *a, const struct rab_region *b,
                                  const struct rab_region made[4])
{
    static const char *const names[] = {"union", "intersection", "difference", "exclusive"};
    enum verdict verdict = PASSED;
    for (int how = 0; how < 4 && verdict == PASSED; how++) {
        verdict = well_formed(run, names[how], &made[how]);
        if (verdict == PASSED && (how == (int)trial->how || run->probes > 100))
            verdict = probed(run, names[how],
                             &(struct question){.trial = trial,
                                                .a = a,
                                                .b = b,
                                                .how = (enum rab_combine)how,
                                                .result = &made[how]});
    }
    if (verdict != PASSED)
        return verdict;
    const double area_a = rab_region_area(a), area_b = rab_region_area(b);
    double area[4];
    for (int how = 0; how < 4; how++)
        area[how] = rab_region_area(&made[how]);
    const double within =
        1e-9 * (area_a + area_b) +
        2 * RAB_SAME_POINT * (rab_region_perimeter(a) + rab_region_perimeter(b)) + 1e-9;
    const double sum = area[RAB_UNION] + area[RAB_INTERSECTION] - area_a - area_b;
    const double less = area[RAB_DIFFERENCE] + area[RAB_INTERSECTION] - area_a;
    const double either = area[RAB_EXCLUSIVE] + area[RAB_INTERSECTION] - area[RAB_UNION];
    const double most = fmax(fabs(sum), fmax(fabs(less), fabs(either)));
    run->coarse |= most > within;
    if (most > second_attempt * within) {
        snprintf(run->why, sizeof run->why,
                 "areas do not add up: inclusion-exclusion %.3g, difference %.3g, exclusive %.3g",
                 sum, less, either);
        return WRONG;
    }
    struct chorded ca = truth_region(&run->truth, a, trial->sagitta);
    struct chorded cb = truth_region(&run->truth, b, trial->sagitta);
    struct chorded got = truth_region(&run->truth, &made[trial->how], trial->sagitta);
    const double bound = ca.segments + cb.segments + got.segments;
    const double welded = weld(&ca) + weld(&cb);
    for (int second = 0; second < 2; second++) {
        const double on = second ? fine_grid : 0;
        GEOSGeometry *want =
            ca.shape && cb.shape
                ? truth_combine(&run->truth, ca.shape, cb.shape, trial->how, on)
                : NULL;
        verdict = compare(run, names[trial->how], want, &got, bound, welded, on);
        GEOSGeom_destroy_r(run->truth.geos, want);
        run->tally.excused += second && verdict == PASSED;
        if (verdict == PASSED)
            break;
    }
    chorded_clear(&run->truth, &ca);
    chorded_clear(&run->truth, &cb);
    chorded_clear(&run->truth, &got);
    return verdict;
}

static enum verdict judge_grow(struct run *run, const struct trial *trial,
                               const struct rab_region *in, const struct rab_region *grown)
{
    const double d = trial->distance, away = fabs(d);
    enum verdict verdict = well_formed(run, "grow", grown);
    if (verdict == PASSED)
        verdict =
            probed(run, "grow", &(struct question){.trial = trial, .a = in, .result = grown});
    if (verdict != PASSED)
        return verdict;

    struct chorded source = truth_region(&run->truth, in, trial->sagitta);
    struct chorded got = truth_region(&run->truth, grown, trial->sagitta);
    const double perimeter =
        source.length + 2 * RAB_PI * (away + source.sagitta) * (double)source.rings;
    double bound = 2 * source.sagitta * perimeter + trial->sagitta * perimeter + got.segments;
    const double welded = weld(&source) + weld(&got);
    if (away < 1e-6) { /* too little for GEOS: the source itself, and what the strip may hold */
        bound += away * perimeter;
        verdict = compare(run, "grow", source.shape, &got, bound, welded, 0);
        chorded_clear(&run->truth, &source);
        chorded_clear(&run->truth, &got);
        return verdict;
    }
    /* Distances shorter than the chords' own error would be lost in it. */
    const double arcs = fmin(trial->sagitta, away / 4);
    GEOSGeometry *want =
        source.shape ? truth_buffer(&run->truth, source.shape, d, arcs) : NULL;
    if (trial->join == RAB_JOIN_MITRE)
        want = truth_mitre(&run->truth, want, in, d, trial->limit);
    verdict = compare(run, "grow", want, &got, bound, welded, 0);
    GEOSGeom_destroy_r(run->truth.geos, want);
    if (verdict != PASSED && source.shape) {
        want = truth_grow_by_parts(&run->truth, source.shape, in, d, trial->sagitta, arcs);
        if (trial->join == RAB_JOIN_MITRE)
            want = truth_mitre(&run->truth, want, in, d, trial->limit);
        verdict = compare(run, "grow", want, &got, bound, welded, 0);
        GEOSGeom_destroy_r(run->truth.geos, want);
        run->tally.excused += verdict == PASSED;
    }
    chorded_clear(&run->truth, &source);
    chorded_clear(&run->truth, &got);
    return verdict;
}

/* ---- one case ---- */

/* A mitre stands on the directions of two edges. Where one of them is hardly longer than the room
 * tells points apart, the mitre is as good there as not: such a case is grown round. */
static bool corners_are_clear(const struct rab_region *region)
{
    struct edges edges = {0};
    bool clear = true;
    brute_edges(region->outlines, region->count, &edges);
    for (size_t i = 0; i < edges.count; i++)
        clear &= brute_length_edge(&edges.items[i]) > 1000 * RAB_SAME_POINT;
    brute_clear(&edges);
    return clear;
}

static enum verdict run_trial(struct run *run, struct trial *trial)
{
    struct rab_region a = {0}, b = {0}, made[4] = {{0}};
    struct rab_error err = {0};
    enum verdict verdict = PASSED;

    run->why[0] = '\0';
    run->spare = run->coarse = false;
    const double start = seconds();
    const bool filled = rab_region_fill(trial->a.items, trial->a.count, trial->rule, &a, &err) &&
                        (trial->work != WORK_COMBINE ||
                         rab_region_fill(trial->b.items, trial->b.count, trial->rule, &b, &err));
    bool done = filled;
    if (trial->work == WORK_COMBINE)
        for (int how = 0; how < 4 && done; how++)
            done = rab_region_combine(&a, &b, (enum rab_combine)how, &made[how], &err);
    if (trial->work == WORK_GROW && trial->join == RAB_JOIN_MITRE && !corners_are_clear(&a))
        trial->join = RAB_JOIN_ROUND;
    if (trial->work == WORK_GROW && done)
        done = rab_region_grow(&a, trial->distance, trial->join, trial->limit, &made[0], &err);
    const double took = seconds() - start;
    run->tally.room_seconds += took;
    if (took > run->tally.slowest) {
        run->tally.slowest = took;
        run->tally.slowest_case = (unsigned long)running_case;
    }

    if (!done)
        verdict = refused(run, filled ? "the work" : "fill", &err);
    if (verdict == PASSED)
        verdict = judge_fill(run, "fill a", &trial->a, trial, &a);
    if (verdict == PASSED && trial->work == WORK_COMBINE) {
        verdict = judge_fill(run, "fill b", &trial->b, trial, &b);
        if (verdict == PASSED)
            verdict = judge_combine(run, trial, &a, &b, made);
    }
    if (verdict == PASSED && trial->work == WORK_GROW)
        verdict = judge_grow(run, trial, &a, &made[0]);
    rab_region_clear(&a);
    rab_region_clear(&b);
    for (int how = 0; how < 4; how++)
        rab_region_clear(&made[how]);
    return verdict;
}

/* ---- making a wrong case small ---- */

static void drop_outline(struct shapes *list, size_t i)
{
    rab_outline_clear(&list->items[i]);
    memmove(&list->items[i], &list->items[i + 1], (list->count - i - 1) * sizeof *list->items);
    list->count--;
}

static void drop_vertex(struct rab_outline *o, size_t k)
{
    memmove(&o->vertices[k], &o->vertices[k + 1], (o->count - k - 1) * sizeof *o->vertices);
    o->count--;
}

/* Keep the change when the case still fails the same way. */
static bool keep(struct run *run, struct trial *best, struct trial *tried, enum verdict verdict)
{
    const unsigned long excused = run->tally.excused;
    const bool still = run_trial(run, tried) == verdict;
    run->tally.excused = excused;
    trial_clear(still ? best : tried);
    if (still)
        *best = *tried;
    return still;
}

static bool shrink_once(struct run *run, struct trial *best, enum verdict verdict)
{
    bool smaller = false;
    for (int side = 0; side < 2; side++) {
        for (size_t i = 0; i < (side ? best->b : best->a).count;) {
            struct trial tried;
            trial_copy(best, &tried);
            drop_outline(side ? &tried.b : &tried.a, i);
            if (keep(run, best, &tried, verdict))
                smaller = true;
            else
                i++;
        }
        for (size_t i = 0; i < (side ? best->b : best->a).count; i++)
            for (size_t k = 0; k < (side ? best->b : best->a).items[i].count;) {
                struct trial tried;
                trial_copy(best, &tried);
                drop_vertex(&(side ? &tried.b : &tried.a)->items[i], k);
                if (keep(run, best, &tried, verdict))
                    smaller = true;
                else
                    k++;
            }
        for (size_t i = 0; i < (side ? best->b : best->a).count; i++)
            for (size_t k = 0; k < (side ? best->b : best->a).items[i].count; k++) {
                const struct rab_vertex v = (side ? best->b : best->a).items[i].vertices[k];
                for (int what = 0; what < 3; what++)
                    for (double unit = 1; unit > 1e-4; unit /= 10) {
                        struct trial tried;
                        const double was = what == 0 ? v.x : what == 1 ? v.y : v.bulge;
                        const double now = round(was / unit) * unit;
                        if (now == was)
                            break;
                        trial_copy(best, &tried);
                        struct rab_vertex *w = &(side ? &tried.b : &tried.a)->items[i].vertices[k];
                        *(what == 0 ? &w->x : what == 1 ? &w->y : &w->bulge) = now;
                        if (keep(run, best, &tried, verdict)) {
                            smaller = true;
                            break;
                        }
                    }
            }
    }
    return smaller;
}

static void report(struct run *run, const struct trial *trial, enum verdict verdict, uint64_t seed,
                   uint64_t number)
{
    static const char *const words[] = {"passed", "wrong", "refused", "unverified"};
    struct trial best;
    printf("case %llu of seed %llu (%s): %s: %s\n", (unsigned long long)number,
           (unsigned long long)seed, trial->family, words[verdict], run->why);
    trial_copy(trial, &best);
    const double start = seconds();
    while (seconds() - start < 20 && shrink_once(run, &best, verdict))
        continue;
    if (run_trial(run, &best) == verdict)
        printf("  smallest: %s\n", run->why);
    trial_print(&best);
    fflush(stdout);
    trial_clear(&best);
}

/* ---- the run ---- */

static uint64_t number_after(char **argv, int *at)
{
    if (!argv[*at + 1]) {
        fprintf(stderr, "%s: a number is missing\n", argv[*at]);
        exit(2);
    }
    return strtoull(argv[++*at], NULL, 10);
}

int main(int argc, char **argv)
{
    uint64_t seed = 1, cases = 20000, first = 0, most_reports = 10;
    const char *family = NULL;
    struct run run = {.probes = 60};

    for (int i = 1; i < argc; i++) {
        if (strcmp(argv[i], "--seed") == 0) {
            seed = number_after(argv, &i);
        } else if (strcmp(argv[i], "--cases") == 0) {
            cases = number_after(argv, &i);
        } else if (strcmp(argv[i], "--first") == 0) {
            first = number_after(argv, &i);
        } else if (strcmp(argv[i], "--reports") == 0) {
            most_reports = number_after(argv, &i);
        } else if (strcmp(argv[i], "--probes") == 0) {
            run.probes = number_after(argv, &i);
        } else if (strcmp(argv[i], "--family") == 0 && argv[i + 1]) {
            family = argv[++i];
        } else if (strcmp(argv[i], "--verbose") == 0) {
            run.verbose = true;
        } else {
            fprintf(stderr, "usage: %s [--seed N] [--cases N] [--first N] [--family NAME] "
                            "[--probes N] [--reports N] [--verbose]\nfamilies:",
                    argv[0]);
            for (size_t k = 0; family_name(k); k++)
                fprintf(stderr, " %s", family_name(k));
            fprintf(stderr, "\n");
            return 2;
        }
    }
    if (!truth_open(&run.truth)) {
        fprintf(stderr, "GEOS does not start\n");
        return 3;
    }
    signal(SIGSEGV, die);
    signal(SIGABRT, die);
    signal(SIGFPE, die);
    signal(SIGVTALRM, die);

    uint64_t reports = 0;
    for (uint64_t number = first; number < first + cases; number++) {
        struct trial trial;
        if (!trial_make(seed, number, family, &trial)) {
            fprintf(stderr, "no family is called %s\n", family);
            return 2;
        }
        running_case = (sig_atomic_t)number;
        watch(60);
        const enum verdict verdict = run_trial(&run, &trial);
        watch(0);
        run.tally.passed += verdict == PASSED;
        run.tally.wrong += verdict == WRONG;
        run.tally.refused += verdict == REFUSED;
        run.tally.unverified += verdict == UNVERIFIED;
        run.tally.spare += run.spare;
        run.tally.coarse += run.coarse;
        if (verdict != PASSED && reports++ < most_reports) {
            report(&run, &trial, verdict, seed, number);
        } else if (run.verbose && (verdict != PASSED || run.spare || run.coarse)) {
            printf("case %llu (%s): %s\n", (unsigned long long)number, trial.family,
                   verdict != PASSED ? run.why
                   : run.coarse      ? "passed, but coarse"
                                     : "passed, with vertices to spare");
        }
        trial_clear(&trial);
    }
    truth_close(&run.truth);

    const struct tally *t = &run.tally;
    printf("%lu wrong, %lu refused, %lu unverified; %lu decided by the second judge, %lu coarse, "
           "%lu with vertices to spare\n",
           t->wrong, t->refused, t->unverified, t->excused, t->coarse, t->spare);
    printf("edges at most %.3g mm off; the room took %.2f s in all, %.1f ms at most (case %lu)\n",
           t->worst, t->room_seconds, 1e3 * t->slowest, t->slowest_case);
    printf("%lu passed, %lu failed\n", t->passed, t->wrong + t->refused + t->unverified);
    return t->passed == cases ? 0 : 1;
}
