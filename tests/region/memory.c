/*
 * Lack of memory is an ordinary error: every allocation of every operation fails once. Each time the
 * fault is MEMORY, the result is untouched and nothing is left allocated.
 *
 * The linker sends the library's calls here (--wrap, GNU ld).
 */
#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <stdlib.h>

#include "shapes.h"
#include <rabbet/region.h>

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *old, size_t size);
void __real_free(void *old);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *old, size_t size);
void __wrap_free(void *old);

/* Allocations still granted; and blocks handed out that have not come back. */
static long granted = -1, living;

static bool refuse(void)
{
    if (granted < 0)
        return false;
    if (granted == 0)
        return true;
    granted--;
    return false;
}

void *__wrap_malloc(size_t size)
{
    void *made = refuse() ? NULL : __real_malloc(size);
    living += made != NULL;
    return made;
}

void *__wrap_calloc(size_t count, size_t size)
{
    void *made = refuse() ? NULL : __real_calloc(count, size);
    living += made != NULL;
    return made;
}

void *__wrap_realloc(void *old, size_t size)
{
    void *made = refuse() ? NULL : __real_realloc(old, size);
    living += made != NULL && old == NULL;
    return made;
}

void __wrap_free(void *old)
{
    living -= old != NULL;
    __real_free(old);
}

struct job {
    struct shapes shapes;
    struct rab_region a, b;
    int what;
};

static bool work(const struct job *job, struct rab_region *out, struct rab_error *err)
{
    switch (job->what) {
    case 0:
        return rab_region_fill(job->shapes.items, job->shapes.count, RAB_FILL_NONZERO, out, err);
    case 1:
    case 2:
    case 3:
    case 4:
        return rab_region_combine(&job->a, &job->b, (enum rab_combine)(job->what - 1), out, err);
    case 5:
        return rab_region_grow(&job->a, 2.5, RAB_JOIN_ROUND, 0, out, err);
    case 6:
        return rab_region_grow(&job->a, -2.5, RAB_JOIN_MITRE, 0, out, err);
    case 7:
        return rab_region_copy(&job->a, out, err);
    }
    return rab_region_check(&job->a, err);
}

Test(region_memory, every_allocation_fails_once)
{
    struct job job = {.what = 0};
    struct rab_error err = {0};
    add_scalloped(&job.shapes, 0, 0, 60, 12, 2);
    for (int i = 0; i < 9; i++) {
        add_foil(&job.shapes, 5, 10 + 20 * (i % 3), 10 + 20 * (i / 3), 4.5, 3.4, 0.3 * i);
        reverse_last(&job.shapes);
    }
    add_star(&job.shapes, 7, 3, 30, 30, 25, 0.2);
    cr_assert(rab_region_fill(job.shapes.items, job.shapes.count, RAB_FILL_EVENODD, &job.a, &err));
    shapes_place(&job.shapes, 0.1, 1, 3, 4);
    cr_assert(rab_region_fill(job.shapes.items, job.shapes.count, RAB_FILL_EVENODD, &job.b, &err));

    for (job.what = 0; job.what <= 8; job.what++) {
        long allowed = 0;
        for (bool done = false; !done; allowed++) {
            struct rab_region out = {0};
            const long before = living;
            err = (struct rab_error){0};
            granted = allowed;
            done = work(&job, &out, &err);
            granted = -1;
            if (!done) {
                cr_expect(eq(int, err.fault, RAB_FAULT_MEMORY), "work %d, allocation %ld: %s",
                          job.what, allowed, err.text);
                cr_expect(out.count == 0 && out.outlines == NULL && out.parents == NULL);
            }
            rab_region_clear(&out);
            cr_expect(living == before, "work %d, allocation %ld: %ld blocks are left", job.what,
                      allowed, living - before);
            cr_assert(lt(long, allowed, 100000));
        }
        cr_expect(gt(long, allowed, 1), "work %d needs no memory", job.what);
    }
    rab_region_clear(&job.a);
    rab_region_clear(&job.b);
    shapes_clear(&job.shapes);
    cr_expect(eq(long, living, 0));
}
