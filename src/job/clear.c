/* What a job holds is given back. */
#include "rabbet/job.h"

#include <stdlib.h>

static void clear_set(struct rab_choices_made *set)
{
    for (size_t i = 0; i < set->count; i++) {
        free(set->items[i].name);
        free(set->items[i].value);
    }
    free(set->items);
}

static void clear_mats(struct rab_item *item)
{
    for (size_t i = 0; i < item->mat_count; i++) {
        free(item->mats[i].style);
        clear_set(&item->mats[i].set);
    }
    free(item->mats);
}

/* NOLINTBEGIN(misc-no-recursion): as deep as items are in each other, which from a file is three */
static void clear_items(struct rab_item *items, size_t count);

static void clear_uses(struct rab_item *item)
{
    for (size_t i = 0; i < item->use_count; i++) {
        free(item->uses[i].openings);
        free(item->uses[i].papers);
        clear_items(item->uses[i].shown, item->uses[i].shown != NULL);
    }
    free(item->uses);
}

static void clear_items(struct rab_item *items, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        struct rab_item *item = &items[i];
        free(item->name);
        free(item->image);
        clear_mats(item);
        clear_items(item->items, item->item_count);
        free(item->fills);
        free(item->file);
        free(item->shape);
        clear_set(&item->set);
        clear_uses(item);
        free(item->motif);
        free(item->layers);
        free(item->words);
        free(item->font);
    }
    free(items);
}
/* NOLINTEND(misc-no-recursion) */

void rab_job_clear(struct rab_job *job)
{
    for (size_t i = 0; i < job->paper_count; i++) {
        free(job->papers[i].name);
        free(job->papers[i].offcuts);
    }
    free(job->papers);
    for (size_t i = 0; i < RAB_PAGES; i++)
        clear_items(job->pages[i].items, job->pages[i].item_count);
    free(job->title);
    *job = (struct rab_job){0};
}
