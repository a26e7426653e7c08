/* Lack of memory at each allocation of a drawing in turn: it is reported, nothing leaks, and what
 * was to be handed over is untouched. */
#include "figures.h"
#include "scarce.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <string.h>

static const char *const everything =
    "<choice name='head' usual='flat' about='Head'><one name='flat'>Flat</one>"
    "<one name='round'>Round</one></choice>"
    "<let name='w' value='60mm'/>"
    "<require that=\"head = 'flat'\">Not with {w} and {head}.</require>"
    "<paper><difference><rectangle width='w' height='w' corners='round' size='3mm'/>"
    "<grid columns='2' rows='2' x='9mm' y='9mm' stagger='yes'><circle x='9mm' y='9mm' "
    "radius='3mm'/></grid><around count='3' x='40mm' y='40mm'><circle x='43mm' y='40mm' "
    "radius='2.9mm'/></around><ellipse x='20mm' y='45mm' width='20mm' height='12mm'/></difference>"
    "<move x='90mm'><intersection><polygon sides='5' radius='20mm'/><star points='5' outer='19mm' "
    "inner='9mm'/><sector radius='19mm' inner='5mm' from='0deg' to='200deg'/></intersection></move>"
    "<mirror x='0' both='yes'><move x='200mm'><grow by='1mm'><arch width='20mm' spring='9mm' "
    "radius='20mm'/></grow></move></mirror>"
    "<union><ring x='300mm' outer='9mm' inner='5mm'/><stadium x='300mm' width='20mm' height='9mm'/>"
    "</union><turn by='30deg'><outline><start x='400mm' y='0'/><line dx='30mm' round='4mm'/>"
    "<arc dy='30mm' radius='20mm'/><line dx='-30mm'/></outline></turn>"
    "<outline><start x='500mm' y='0'/><line dx='20mm' dy='20mm'/><line dx='-20mm'/>"
    "<line dx='20mm' dy='-20mm'/></outline>"
    "<row count='2' x='30mm'><use shape='plain'><set name='photo-width' to='20mm'/>"
    "<set name='photo-height' to='20mm'/></use></row></paper>"
    "<crease><along count='3'><circle radius='20mm'/><path><start x='0' y='0'/><line "
    "y='3mm'/></path>"
    "</along><mirror x='3mm' both='yes'><path><start x='0' y='0'/><line y='3mm'/><mirror y='3mm'/>"
    "</path></mirror><circle radius='2mm'/></crease>"
    "<place name='photo'><rectangle x='20mm' y='20mm' width='3mm' height='3mm'/></place>"
    "<measure what='web' least='0.01mm'/><measure what='border' least='0.01mm'/>"
    "<measure what='gap' least='0.01mm'/><measure what='reveal' least='0.01mm'/>";

Test(short_memory, shape)
{
    struct rab_library *library = figures_library();
    const struct rab_shape *shape = figures_add(library, "lantern", everything);
    const double usual = shape->parameters[0].usual;

    for (size_t granted = 0;; granted++) {
        struct rab_figure figure = {0};
        struct rab_error err = {0};
        scarce_begin(granted);
        const bool ok = rab_shape_draw(library, shape, &usual, 0, &figure, &err);
        rab_figure_clear(&figure);
        const bool refused = scarce_end();
        cr_assert(scarce_held() == 0, "%ld allocations are left after %zu", scarce_held(), granted);
        if (!refused) {
            cr_assert(ok, "%s", err.text);
            cr_expect(granted > 200, "only %zu allocations", granted);
            break;
        }
        cr_assert(not(ok), "allocation %zu refused, and nobody noticed", granted);
        cr_assert(err.fault == RAB_FAULT_MEMORY, "allocation %zu: %s", granted, err.text);
    }
    rab_library_close(library);
}

Test(short_memory, motif)
{
    struct rab_library *library = figures_library();
    const struct rab_shape *motif = figures_add_motif(
        library, "lantern",
        "<pitch usual='12mm' least='3mm' most='80mm'/><depth usual='4mm' least='0.5mm' "
        "most='40mm'/>"
        "<profile><start x='0' y='0'/><line x='6mm' y='4mm' round='1mm'/><line x='pitch' y='0'/>"
        "</profile><hole><row count='2' x='3mm'><circle x='4mm' y='-2mm' "
        "radius='1mm'/></row></hole>"
        "<draw><circle radius='2mm'/></draw><corner><row count='2' x='1mm'><circle radius='1mm'/>"
        "</row></corner>");
    const double values[] = {12, 4};

    for (int corner = 0; corner < 2; corner++) {
        for (size_t granted = 0;; granted++) {
            struct rab_repeat repeat = {0};
            struct rab_region region = {0};
            struct rab_error err = {0};
            scarce_begin(granted);
            const bool ok = corner ? rab_motif_corner(library, motif, values, 1, 0, &region, &err)
                                   : rab_motif_draw(library, motif, values, 0, 1, 0, &repeat, &err);
            rab_repeat_clear(&repeat);
            rab_region_clear(&region);
            const bool refused = scarce_end();
            cr_assert(scarce_held() == 0, "%ld allocations are left after %zu", scarce_held(),
                      granted);
            if (!refused) {
                cr_assert(ok, "%s", err.text);
                cr_expect(granted > 10, "only %zu allocations", granted);
                break;
            }
            cr_assert(not(ok), "allocation %zu refused, and nobody noticed", granted);
            cr_assert(err.fault == RAB_FAULT_MEMORY, "allocation %zu: %s", granted, err.text);
        }
    }
    rab_library_close(library);
}
