/* Photos: cut to their crop, on one mat or several, behind a window mat. */
#include "job/resolve.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A reveal that is narrower than asked for by so much somewhere shows: common practice, no
 * source (a careful trimmer cuts to half a millimetre). */
static const double uneven = 0.2;
/* Less paper than this does not count, mm2. */
static const double least_area = 0.01;

/* A mat as it lies with the photo at 0,0. */
struct mat {
    const struct rab_mat_asked *asked;
    struct rab_figure figure;
    bool window;
};
struct stack {
    struct mat *mats;
    size_t count;
    struct rab_region photo;
    struct rab_box box; /* of all so far */
};

static void clear_stack(struct stack *stack)
{
    for (size_t i = 0; i < stack->count; i++)
        rab_figure_clear(&stack->mats[i].figure);
    free(stack->mats);
    rab_region_clear(&stack->photo);
}

/* "mat of quay", "mat 2 of quay" */
static void name_mat(struct rab_text *text, const struct rab_item *item, size_t index)
{
    rab_text_add(text, "mat");
    if (item->mat_count > 1)
        rab_text_format(text, " %zu", index + 1);
    if (item->name) {
        rab_text_add(text, " of ");
        rab_text_add(text, item->name);
    }
}

/* ---- drawing --------------------------------------------------------------------------- */

static bool find_style(const struct resolving *r, const struct rab_mat_asked *asked,
                       const struct rab_shape **shape, bool *window, struct rab_error *err)
{
    const char *style = asked->style ? asked->style : "plain";

    *shape = rab_library_find(r->library, style, err);
    if (!*shape)
        return false;
    *window = shape_has(*shape, "overlap");
    if ((*shape)->motif || !shape_has(*shape, "photo-width") ||
        !shape_has(*shape, "photo-height") || (!*window && !shape_has(*shape, "reveal")))
        return rab_fail(err, RAB_FAULT_INPUT,
                        "%s is not a mat; 'rabbet shapes mats' and 'rabbet shapes windows' list "
                        "those that are",
                        style);
    return true;
}

static void move_figure(struct rab_figure *figure, double dx, double dy)
{
    region_move(&figure->paper, dx, dy);
    for (size_t i = 0; i < figure->path_count; i++)
        rab_outline_move(&figure->paths[i].outline, dx, dy);
    for (size_t i = 0; i < figure->place_count; i++)
        rab_outline_move(&figure->places[i].outline, dx, dy);
}

static const struct rab_place *photo_place(const struct rab_figure *figure)
{
    for (size_t i = 0; i < figure->place_count; i++) {
        if (strcmp(figure->places[i].name, "photo") == 0)
            return &figure->places[i];
    }
    return NULL;
}

/* So that its place for the photo lies where the stack so far is; without a place, both have the
 * same middle. */
static void align_mat(struct rab_figure *figure, struct rab_box front)
{
    const struct rab_place *place = photo_place(figure);
    const struct rab_box box =
        place ? rab_outline_box(&place->outline) : rab_region_box(&figure->paper);

    move_figure(figure, (front.x0 + front.x1 - box.x0 - box.x1) / 2,
                (front.y0 + front.y1 - box.y0 - box.y1) / 2);
}

static bool draw_mat(const struct resolving *r, struct stack *stack, struct mat *mat,
                     struct rab_error *err)
{
    const struct rab_shape *shape = NULL;
    double *values = NULL;
    bool ok = find_style(r, mat->asked, &shape, &mat->window, err);

    if (ok) {
        /* The width that shows of a window mat is its border. */
        const char *shows = mat->window ? "border" : "reveal";
        const struct chosen_length lengths[RESOLVE_MOST_LENGTHS] = {
            {"photo-width", stack->box.x1 - stack->box.x0},
            {"photo-height", stack->box.y1 - stack->box.y0},
            {shows, mat->asked->reveal}};
        const bool given = mat->asked->reveal > 0 || !mat->window;
        ok = resolve_values(shape, &mat->asked->set, lengths, given ? 3 : 2, &values, err) &&
             rab_shape_draw(r->library, shape, values, 0, &mat->figure, err);
    }
    if (ok)
        align_mat(&mat->figure, stack->box);
    free(values);
    return ok;
}

/* A mat may ask for a photo of another form: an oval one. */
static bool shape_photo(struct stack *stack, struct rab_error *err)
{
    const struct rab_place *place = stack->count > 0 ? photo_place(&stack->mats[0].figure) : NULL;

    return place ? rab_region_fill(&place->outline, 1, RAB_FILL_NONZERO, &stack->photo, err)
                 : region_of_box(stack->box, &stack->photo, err);
}

/* ---- how even the reveal is ------------------------------------------------------------ */

static bool least_gap(const struct rab_region *front, const struct rab_region *mat, double *least,
                      struct rab_error *err)
{
    *least = HUGE_VAL;
    for (size_t i = 0; i < front->count; i++) {
        for (size_t k = 0; k < mat->count; k++) {
            double gap;
            if (front->parents[i] != RAB_NO_PARENT || mat->parents[k] != RAB_NO_PARENT)
                continue;
            if (!rab_outline_gap(&front->outlines[i], &mat->outlines[k], &gap, NULL, NULL, err))
                return false;
            *least = fmin(*least, gap);
        }
    }
    return true;
}

/* What lies on a mat must lie on it whole, the reveal nowhere narrower than asked for. */
static bool check_reveal(struct resolving *r, const struct rab_item *item, const struct mat *mat,
                         const struct rab_region *front, bool *sound)
{
    const bool inches = r->job->inches;
    const struct measure asked = measure_of(mat->asked->reveal, inches);
    struct rab_region beyond = {0};
    double least = 0, area = 0;
    bool ok = true;

    if (!region_is_rectangle(front) || !region_is_rectangle(&mat->figure.paper)) {
        ok = rab_region_combine(front, &mat->figure.paper, RAB_DIFFERENCE, &beyond, r->err);
        area = ok ? rab_region_area(&beyond) : 0;
        rab_region_clear(&beyond);
    }
    if (!ok || !least_gap(front, &mat->figure.paper, &least, r->err))
        return false;
    *sound = area <= least_area;
    if (area > least_area)
        return found_wrong(&r->found, r->err, RAB_FAULT_GEOMETRY, mat->asked->line,
                           "what lies on this mat%s stands out beyond it; give a reveal of more "
                           "than %s, or another style",
                           item_of(item).text, asked.text);
    return least >= mat->asked->reveal - uneven ||
           found_odd(&r->found, r->err, "uneven-reveal", mat->asked->line,
                     "the reveal of this mat%s is not even: %s at its narrowest, not %s; give both "
                     "layers the same corners",
                     item_of(item).text, measure_of(least, inches).text, asked.text);
}

static bool check_reveals(struct resolving *r, const struct rab_item *item,
                          const struct stack *stack, bool *sound)
{
    const struct rab_region *front = &stack->photo;

    *sound = true;
    for (size_t i = 0; i < stack->count && *sound; i++) {
        const struct mat *mat = &stack->mats[i];
        if (!mat->window && !check_reveal(r, item, mat, front, sound))
            return false;
        front = &mat->figure.paper;
    }
    return true;
}

/* ---- the pieces ------------------------------------------------------------------------ */

static bool add_mat(struct stack *stack, size_t index, const struct rab_item *item,
                    struct made *out, struct rab_error *err)
{
    struct mat *mat = &stack->mats[index];
    struct rab_text what = {0};

    if (mat->window)
        rab_text_add(&what, "window ");
    name_mat(&what, item, index);
    return made_add(out, &(struct origin){RAB_PIECE_MAT, mat->asked->paper, item, mat->asked->line},
                    &mat->figure.paper, &mat->figure.paths, &mat->figure.path_count, &what, err);
}

/* The outermost mat lies lowest; window mats lie over the photo. */
static bool add_pieces(struct stack *stack, const struct rab_item *item, struct made *out,
                       struct rab_error *err)
{
    struct rab_text what = {0};

    for (size_t i = stack->count; i-- > 0;) {
        if (!stack->mats[i].window && !add_mat(stack, i, item, out, err))
            return false;
    }
    rab_text_add(&what, "photo");
    if (item->name) {
        rab_text_add(&what, " ");
        rab_text_add(&what, item->name);
    }
    if (!made_add(out, &(struct origin){RAB_PIECE_PHOTO, (size_t)-1, item, item->line},
                  &stack->photo, NULL, NULL, &what, err))
        return false;
    for (size_t i = 0; i < stack->count; i++) {
        if (stack->mats[i].window && !add_mat(stack, i, item, out, err))
            return false;
    }
    return true;
}

static bool check_photo(struct resolving *r, const struct rab_item *item, double width,
                        double height, bool *sound)
{
    const double across = item->crop_left + item->crop_right;
    const double down = item->crop_top + item->crop_bottom;
    const bool inches = r->job->inches;

    *sound = false;
    if (!(width > 0 && height > 0 && width <= RESOLVE_LARGEST && height <= RESOLVE_LARGEST))
        return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                           "the %s has no size; give its width and height as printed",
                           item_name(item).text);
    if (!(item->crop_left >= 0 && item->crop_right >= 0 && item->crop_top >= 0 &&
          item->crop_bottom >= 0))
        return found_wrong(&r->found, r->err, RAB_FAULT_INPUT, item->line,
                           "a crop of the %s is negative; give what is cut off, 0 or more",
                           item_name(item).text);
    *sound = across < width && down < height;
    return *sound ||
           found_wrong(&r->found, r->err, RAB_FAULT_GEOMETRY, item->line,
                       "the %s is too small for its crop: %s cut off the %s leave nothing of %s",
                       item_name(item).text,
                       measure_of(across < width ? down : across, inches).text,
                       across < width ? "height" : "width",
                       measure_of(across < width ? height : width, inches).text);
}

static bool papers_known(struct resolving *r, const struct rab_item *item, bool *known)
{
    *known = true;
    for (size_t i = 0; i < item->mat_count; i++) {
        bool declared = false;
        if (!resolve_paper(r, item->mats[i].paper, item->mats[i].line, "mat", &declared))
            return false;
        *known = *known && declared;
    }
    return true;
}

/* Each mat round what is there before it. */
static bool draw_mats(struct resolving *r, const struct rab_item *item, struct stack *stack,
                      bool *sound)
{
    struct rab_error failure = {0};
    struct rab_text whose = {0};
    bool ok;

    for (size_t i = 0; i < item->mat_count; i++) {
        struct mat *mat = &stack->mats[stack->count++];
        mat->asked = &item->mats[i];
        *sound = draw_mat(r, stack, mat, &failure);
        if (!*sound) {
            name_mat(&whose, item, i);
            ok = rab_text_ok(&whose, r->err) &&
                 found_failure(&r->found, r->err, &failure, mat->asked->line, whose.data);
            rab_text_clear(&whose);
            return ok;
        }
        if (i == 0 && !shape_photo(stack, r->err))
            return false;
        stack->box = rab_box_join(stack->box, rab_region_box(&mat->figure.paper));
    }
    return item->mat_count > 0 || shape_photo(stack, r->err);
}

bool photo_make(struct resolving *r, const struct rab_item *item, double width, double height,
                struct made *out)
{
    struct stack stack = {.mats = calloc(item->mat_count + 1, sizeof *stack.mats)};
    bool sound = false, known = false, ok = false;

    if (!stack.mats)
        return rab_fail_memory(r->err);
    stack.box = (struct rab_box){0, 0, width - item->crop_left - item->crop_right,
                                 height - item->crop_top - item->crop_bottom};
    if (!check_photo(r, item, width, height, &sound) || !papers_known(r, item, &known) ||
        (sound && !draw_mats(r, item, &stack, &sound)) ||
        (sound && !check_reveals(r, item, &stack, &sound)) ||
        (sound && !add_pieces(&stack, item, out, r->err)))
        goto done;
    out->box = stack.box;
    out->sound = sound && known;
    ok = true;
done:
    clear_stack(&stack);
    return ok;
}
