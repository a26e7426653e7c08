#include "dxf.h"
#include "style.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/*
 * Fixed records. Handles, all below DXF_FIRST_ENTITY:
 *   1 to A   the tables: 1 BLOCK_RECORD, 2 LAYER, 3 STYLE, 5 LTYPE, 6 VIEW, 7 UCS, 8 VPORT,
 *            9 APPID, A DIMSTYLE
 *   C to E   dictionaries: C root, D groups, E plot styles (F its entry)
 *   10 to 17 entries of the tables, 18 layouts (19 model, 1A paper), 1B to 1D paper space,
 *            1F to 21 model space, 22 multiline styles (23 its entry), 24 plot settings, 30 VPORT
 *   40, 60   the patterns and the layers in use, from here on
 */
static const unsigned long first_pattern = 0x40, first_layer = 0x60;

static const char head_r2000[] = "0 SECTION\n"
                                 "2 HEADER\n"
                                 "9 $ACADVER\n1 AC1015\n"
                                 "9 $DWGCODEPAGE\n3 ANSI_1252\n";
static const char head_r12[] = "0 SECTION\n"
                               "2 HEADER\n"
                               "9 $ACADVER\n1 AC1009\n"
                               "9 $DWGCODEPAGE\n3 ANSI_1252\n";

/* Units: 4 is mm, 1 is metric. R12 has neither variable; readers of both kinds take them from
 * there all the same, and others pass over what they do not know. */
static const char units[] = "9 $INSUNITS\n70 4\n"
                            "9 $MEASUREMENT\n70 1\n"
                            "9 $LTSCALE\n40 1.0\n"
                            "9 $CLAYER\n8 0\n";
static const char head_end_r2000[] = "9 $CELTYPE\n6 ByLayer\n"
                                     "9 $TEXTSTYLE\n7 Standard\n"
                                     "9 $DIMSTYLE\n2 Standard\n"
                                     "9 $CMLSTYLE\n2 Standard\n"
                                     "9 $TILEMODE\n70 1\n"
                                     "9 $PSTYLEMODE\n290 1\n"
                                     "0 ENDSEC\n"
                                     "0 SECTION\n"
                                     "2 CLASSES\n"
                                     "0 CLASS\n"
                                     "1 ACDBDICTIONARYWDFLT\n"
                                     "2 AcDbDictionaryWithDefault\n"
                                     "3 ObjectDBX Classes\n"
                                     "90 0\n280 0\n281 0\n"
                                     "0 CLASS\n"
                                     "1 ACDBPLACEHOLDER\n"
                                     "2 AcDbPlaceHolder\n"
                                     "3 ObjectDBX Classes\n"
                                     "90 0\n280 0\n281 0\n"
                                     "0 CLASS\n"
                                     "1 LAYOUT\n"
                                     "2 AcDbLayout\n"
                                     "3 ObjectDBX Classes\n"
                                     "90 0\n280 0\n281 0\n"
                                     "0 ENDSEC\n"
                                     "0 SECTION\n"
                                     "2 TABLES\n"
                                     "0 TABLE\n2 VPORT\n5 8\n330 0\n100 AcDbSymbolTable\n70 1\n"
                                     "0 VPORT\n5 30\n330 8\n"
                                     "100 AcDbSymbolTableRecord\n"
                                     "100 AcDbViewportTableRecord\n"
                                     "2 *Active\n70 0\n"
                                     "10 0.0\n20 0.0\n11 1.0\n21 1.0\n";
static const char head_end_r12[] = "0 ENDSEC\n"
                                   "0 SECTION\n"
                                   "2 TABLES\n"
                                   "0 TABLE\n2 VPORT\n70 1\n"
                                   "0 VPORT\n"
                                   "2 *ACTIVE\n70 0\n"
                                   "10 0.0\n20 0.0\n11 1.0\n21 1.0\n";
/* After the centre of the view (12, 22): snap, grid, direction, target, ... */
static const char view_middle[] = "13 0.0\n23 0.0\n14 10.0\n24 10.0\n15 10.0\n25 10.0\n"
                                  "16 0.0\n26 0.0\n36 1.0\n17 0.0\n27 0.0\n37 0.0\n";
/* ... and after its height and shape (40, 41): lens, clipping, angles, flags. */
static const char view_end[] = "42 50.0\n43 0.0\n44 0.0\n50 0.0\n51 0.0\n"
                               "71 0\n72 100\n73 1\n74 3\n75 0\n76 0\n77 0\n78 0\n"
                               "0 ENDTAB\n";

static const char patterns_r2000[] = "0 LTYPE\n5 14\n330 5\n"
                                     "100 AcDbSymbolTableRecord\n"
                                     "100 AcDbLinetypeTableRecord\n"
                                     "2 ByBlock\n70 0\n3 \n72 65\n73 0\n40 0.0\n"
                                     "0 LTYPE\n5 15\n330 5\n"
                                     "100 AcDbSymbolTableRecord\n"
                                     "100 AcDbLinetypeTableRecord\n"
                                     "2 ByLayer\n70 0\n3 \n72 65\n73 0\n40 0.0\n"
                                     "0 LTYPE\n5 16\n330 5\n"
                                     "100 AcDbSymbolTableRecord\n"
                                     "100 AcDbLinetypeTableRecord\n"
                                     "2 Continuous\n70 0\n3 Solid line\n72 65\n73 0\n40 0.0\n";
static const char patterns_r12[] = "0 LTYPE\n"
                                   "2 CONTINUOUS\n70 0\n3 Solid line\n72 65\n73 0\n40 0.0\n";

/* What stands between the layers and the entities. */
static const char middle_r2000[] = "0 ENDTAB\n"
                                   "0 TABLE\n2 STYLE\n5 3\n330 0\n100 AcDbSymbolTable\n70 1\n"
                                   "0 STYLE\n5 12\n330 3\n"
                                   "100 AcDbSymbolTableRecord\n"
                                   "100 AcDbTextStyleTableRecord\n"
                                   "2 Standard\n70 0\n"
                                   "40 0.0\n41 1.0\n50 0.0\n71 0\n42 2.5\n3 txt\n4 \n"
                                   "0 ENDTAB\n"
                                   "0 TABLE\n2 VIEW\n5 6\n330 0\n100 AcDbSymbolTable\n70 0\n"
                                   "0 ENDTAB\n"
                                   "0 TABLE\n2 UCS\n5 7\n330 0\n100 AcDbSymbolTable\n70 0\n"
                                   "0 ENDTAB\n"
                                   "0 TABLE\n2 APPID\n5 9\n330 0\n100 AcDbSymbolTable\n70 1\n"
                                   "0 APPID\n5 13\n330 9\n"
                                   "100 AcDbSymbolTableRecord\n"
                                   "100 AcDbRegAppTableRecord\n"
                                   "2 ACAD\n70 0\n"
                                   "0 ENDTAB\n"
                                   "0 TABLE\n2 DIMSTYLE\n5 A\n330 0\n100 AcDbSymbolTable\n70 1\n"
                                   "100 AcDbDimStyleTable\n71 1\n"
                                   "0 DIMSTYLE\n105 17\n330 A\n"
                                   "100 AcDbSymbolTableRecord\n"
                                   "100 AcDbDimStyleTableRecord\n"
                                   "2 Standard\n70 0\n"
                                   "0 ENDTAB\n"
                                   "0 TABLE\n2 BLOCK_RECORD\n5 1\n330 0\n"
                                   "100 AcDbSymbolTable\n70 2\n"
                                   "0 BLOCK_RECORD\n5 " DXF_MODEL_SPACE "\n330 1\n"
                                   "100 AcDbSymbolTableRecord\n"
                                   "100 AcDbBlockTableRecord\n"
                                   "2 *Model_Space\n340 19\n"
                                   "0 BLOCK_RECORD\n5 1B\n330 1\n"
                                   "100 AcDbSymbolTableRecord\n"
                                   "100 AcDbBlockTableRecord\n"
                                   "2 *Paper_Space\n340 1A\n"
                                   "0 ENDTAB\n"
                                   "0 ENDSEC\n"
                                   "0 SECTION\n"
                                   "2 BLOCKS\n"
                                   "0 BLOCK\n5 20\n330 " DXF_MODEL_SPACE "\n"
                                   "100 AcDbEntity\n8 0\n100 AcDbBlockBegin\n"
                                   "2 *Model_Space\n70 0\n10 0.0\n20 0.0\n30 0.0\n"
                                   "3 *Model_Space\n1 \n"
                                   "0 ENDBLK\n5 21\n330 " DXF_MODEL_SPACE "\n"
                                   "100 AcDbEntity\n8 0\n100 AcDbBlockEnd\n"
                                   "0 BLOCK\n5 1C\n330 1B\n"
                                   "100 AcDbEntity\n67 1\n8 0\n100 AcDbBlockBegin\n"
                                   "2 *Paper_Space\n70 0\n10 0.0\n20 0.0\n30 0.0\n"
                                   "3 *Paper_Space\n1 \n"
                                   "0 ENDBLK\n5 1D\n330 1B\n"
                                   "100 AcDbEntity\n67 1\n8 0\n100 AcDbBlockEnd\n"
                                   "0 ENDSEC\n"
                                   "0 SECTION\n"
                                   "2 ENTITIES\n";
static const char middle_r12[] = "0 ENDTAB\n"
                                 "0 TABLE\n2 STYLE\n70 1\n"
                                 "0 STYLE\n"
                                 "2 STANDARD\n70 0\n"
                                 "40 0.0\n41 1.0\n50 0.0\n71 0\n42 2.5\n3 txt\n4 \n"
                                 "0 ENDTAB\n"
                                 "0 ENDSEC\n"
                                 "0 SECTION\n"
                                 "2 BLOCKS\n"
                                 "0 ENDSEC\n"
                                 "0 SECTION\n"
                                 "2 ENTITIES\n";

static const char objects[] = "0 ENDSEC\n"
                              "0 SECTION\n"
                              "2 OBJECTS\n"
                              "0 DICTIONARY\n5 C\n330 0\n100 AcDbDictionary\n281 1\n"
                              "3 ACAD_GROUP\n350 D\n"
                              "3 ACAD_LAYOUT\n350 18\n"
                              "3 ACAD_MLINESTYLE\n350 22\n"
                              "3 ACAD_PLOTSETTINGS\n350 24\n"
                              "3 ACAD_PLOTSTYLENAME\n350 E\n"
                              "0 DICTIONARY\n5 D\n330 C\n100 AcDbDictionary\n281 1\n"
                              "0 ACDBDICTIONARYWDFLT\n5 E\n330 C\n100 AcDbDictionary\n281 1\n"
                              "3 Normal\n350 F\n"
                              "100 AcDbDictionaryWithDefault\n340 F\n"
                              "0 ACDBPLACEHOLDER\n5 F\n330 E\n"
                              "0 DICTIONARY\n5 22\n330 C\n100 AcDbDictionary\n281 1\n"
                              "3 Standard\n350 23\n"
                              "0 MLINESTYLE\n5 23\n330 22\n100 AcDbMlineStyle\n"
                              "2 Standard\n70 0\n3 \n62 256\n51 90.0\n52 90.0\n71 2\n"
                              "49 0.5\n62 256\n6 BYLAYER\n"
                              "49 -0.5\n62 256\n6 BYLAYER\n"
                              "0 DICTIONARY\n5 24\n330 C\n100 AcDbDictionary\n281 1\n"
                              "0 DICTIONARY\n5 18\n330 C\n100 AcDbDictionary\n281 1\n"
                              "3 Model\n350 19\n"
                              "3 Layout1\n350 1A\n";
/* Of a layout, after its handle: an A4 page in mm at 1:1 and no printer chosen ... */
static const char layout_page[] = "330 18\n100 AcDbPlotSettings\n"
                                  "1 \n2 none_device\n4 \n6 \n"
                                  "40 7.5\n41 20.0\n42 7.5\n43 20.0\n44 210.0\n45 297.0\n"
                                  "46 0.0\n47 0.0\n48 0.0\n49 0.0\n140 0.0\n141 0.0\n"
                                  "142 1.0\n143 1.0\n";
static const char layout_scale[] = "72 1\n73 0\n74 5\n7 \n75 16\n147 1.0\n148 0.0\n149 0.0\n"
                                   "100 AcDbLayout\n";
/* ... and after its limits and extents: elevation and coordinate system. */
static const char layout_axes[] = "146 0.0\n13 0.0\n23 0.0\n33 0.0\n"
                                  "16 1.0\n26 0.0\n36 0.0\n17 0.0\n27 1.0\n37 0.0\n76 0\n";

static void add_handle(struct rab_text *text, int code, unsigned long handle)
{
    char words[24];

    snprintf(words, sizeof words, "%lX", handle);
    dxf_words(text, code, words);
}

static void add_point(struct rab_text *text, int code, double x, double y)
{
    dxf_number(text, code, x);
    dxf_number(text, code + 10, y);
}

static void add_limits(struct rab_text *text, const struct rab_box *extents,
                       const struct rab_box *sheet)
{
    dxf_words(text, 9, "$EXTMIN");
    add_point(text, 10, extents->x0, extents->y0);
    dxf_number(text, 30, 0);
    dxf_words(text, 9, "$EXTMAX");
    add_point(text, 10, extents->x1, extents->y1);
    dxf_number(text, 30, 0);
    dxf_words(text, 9, "$LIMMIN");
    add_point(text, 10, sheet->x0, sheet->y0);
    dxf_words(text, 9, "$LIMMAX");
    add_point(text, 10, sheet->x1, sheet->y1);
}

/* The view that a reader opens with: the whole drawing with a rim around it. */
static void add_view(struct rab_text *text, const struct rab_box *extents)
{
    const double shape = 1.5; /* of a usual window, width by height */
    const double width = extents->x1 - extents->x0, height = extents->y1 - extents->y0;

    add_point(text, 12, extents->x0 + width / 2, extents->y0 + height / 2);
    dxf_groups(text, view_middle);
    dxf_number(text, 40, fmax(1, 1.1 * fmax(height, width / shape)));
    dxf_number(text, 41, shape);
    dxf_groups(text, view_end);
}

static void open_table(struct rab_text *text, enum rab_dxf_version version, const char *name,
                       unsigned long handle, int entries)
{
    dxf_words(text, 0, "TABLE");
    dxf_words(text, 2, name);
    if (version == RAB_DXF_R2000) {
        add_handle(text, 5, handle);
        dxf_groups(text, "330 0\n100 AcDbSymbolTable\n");
    }
    dxf_whole(text, 70, entries);
}

static void open_record(struct rab_text *text, enum rab_dxf_version version, const char *kind,
                        unsigned long handle, unsigned long table, const char *subclass)
{
    dxf_words(text, 0, kind);
    if (version != RAB_DXF_R2000)
        return;
    add_handle(text, 5, handle);
    add_handle(text, 330, table);
    dxf_groups(text, "100 AcDbSymbolTableRecord\n");
    dxf_words(text, 100, subclass);
}

/* The line patterns of the layers in use. */
static void add_patterns(struct rab_text *text, const struct dxf_page *page)
{
    const bool r2000 = page->version == RAB_DXF_R2000;
    int entries = r2000 ? 3 : 1;

    for (int i = 0; i < RAB_OPERATIONS; i++)
        if (page->used[i] && style_of_line((enum rab_line)i)->dash_count > 0)
            entries++;
    open_table(text, page->version, "LTYPE", 5, entries);
    dxf_groups(text, r2000 ? patterns_r2000 : patterns_r12);
    for (int i = 0; i < RAB_OPERATIONS; i++) {
        const struct line_style *style = style_of_line((enum rab_line)i);
        double length = 0;

        if (!page->used[i] || style->dash_count == 0)
            continue;
        for (int k = 0; k < style->dash_count; k++)
            length += style->dashes[k];
        open_record(text, page->version, "LTYPE", first_pattern + (unsigned long)i, 5,
                    "AcDbLinetypeTableRecord");
        dxf_words(text, 2, style->pattern);
        dxf_whole(text, 70, 0);
        dxf_words(text, 3, style->description);
        dxf_whole(text, 72, 65);
        dxf_whole(text, 73, style->dash_count);
        dxf_number(text, 40, length);
        for (int k = 0; k < style->dash_count; k++) {
            dxf_number(text, 49, k % 2 == 0 ? style->dashes[k] : -style->dashes[k]);
            if (r2000)
                dxf_whole(text, 74, 0);
        }
    }
    dxf_groups(text, "0 ENDTAB\n");
}

static void add_layer(struct rab_text *text, enum rab_dxf_version version, const char *name,
                      unsigned long handle, int index, const char *pattern)
{
    open_record(text, version, "LAYER", handle, 2, "AcDbLayerTableRecord");
    dxf_words(text, 2, name);
    dxf_whole(text, 70, 0);
    dxf_whole(text, 62, index);
    dxf_words(text, 6, pattern);
    if (version == RAB_DXF_R2000)
        dxf_groups(text, "370 -3\n390 F\n");
}

static void add_layers(struct rab_text *text, const struct dxf_page *page)
{
    int entries = 1;

    for (int i = 0; i < RAB_OPERATIONS; i++)
        entries += page->used[i];
    open_table(text, page->version, "LAYER", 2, entries);
    add_layer(text, page->version, "0", 0x10, 7, "CONTINUOUS");
    for (int i = 0; i < RAB_OPERATIONS; i++) {
        const enum rab_operation operation = style_order[i];
        const struct line_style *style = style_of_line((enum rab_line)operation);
        if (page->used[operation])
            add_layer(text, page->version, rab_operation_layer(operation),
                      first_layer + (unsigned long)operation, style->index, style->pattern);
    }
}

static void add_layout(struct rab_text *text, unsigned long handle, const char *name, int order,
                       const struct rab_box *box, const char *space)
{
    const bool model = order == 0;

    dxf_words(text, 0, "LAYOUT");
    add_handle(text, 5, handle);
    dxf_groups(text, layout_page);
    dxf_whole(text, 70, model ? 1024 : 0);
    dxf_groups(text, layout_scale);
    dxf_words(text, 1, name);
    dxf_whole(text, 70, 1);
    dxf_whole(text, 71, order);
    add_point(text, 10, box->x0, box->y0);
    add_point(text, 11, box->x1, box->y1);
    dxf_groups(text, "12 0.0\n22 0.0\n32 0.0\n");
    add_point(text, 14, box->x0, box->y0);
    dxf_number(text, 34, 0);
    add_point(text, 15, box->x1, box->y1);
    dxf_number(text, 35, 0);
    dxf_groups(text, layout_axes);
    dxf_words(text, 330, space);
}

void dxf_open(struct rab_text *text, const struct dxf_page *page)
{
    const bool r2000 = page->version == RAB_DXF_R2000;

    dxf_groups(text, r2000 ? head_r2000 : head_r12);
    add_limits(text, &page->extents, &page->sheet);
    dxf_groups(text, units);
    if (r2000) {
        dxf_words(text, 9, "$HANDSEED");
        add_handle(text, 5, page->next_handle);
    }
    dxf_groups(text, r2000 ? head_end_r2000 : head_end_r12);
    add_view(text, &page->extents);
    add_patterns(text, page);
    add_layers(text, page);
    dxf_groups(text, r2000 ? middle_r2000 : middle_r12);
}

void dxf_close(struct rab_text *text, const struct dxf_page *page)
{
    static const struct rab_box paper = {0, 0, 210, 297};

    if (page->version == RAB_DXF_R2000) {
        dxf_groups(text, objects);
        add_layout(text, 0x19, "Model", 0, &page->extents, DXF_MODEL_SPACE);
        add_layout(text, 0x1A, "Layout1", 1, &paper, "1B");
    }
    dxf_groups(text, "0 ENDSEC\n0 EOF\n");
}
