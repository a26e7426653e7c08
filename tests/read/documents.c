/*
 * What stands between a file and its elements: encodings (XML 1.0, 4.3.3 and appendix F), line ends
 * (2.11), well-formedness, entities and their abuse, compression, and files that are no drawings.
 * The inputs are of our own making.
 */
#include "support.h"

#include <zlib.h>

#define FRAME "<path d='M0 0H100V80H0Z'/>"

static void expect_read(const char *bytes, size_t length, const char *title)
{
    struct reading r = read_bytes(bytes, length);

    cr_expect(eq(sz, r.drawing.count, 1), "%.200s", bytes);
    if (title)
        expect_words(r.drawing.title, title);
    reading_clear(&r);
}

/* ASCII and Latin-1 text as UTF-16. */
static size_t widen(const char *text, bool big, char *out)
{
    size_t n = 0;

    for (; *text; text++) {
        out[n++] = big ? '\0' : *text;
        out[n++] = big ? *text : '\0';
    }
    return n;
}

Test(documents, unicode_encodings)
{
    static const char text[] = PAGE("<title>quay</title>" FRAME);
    char bytes[2 * sizeof text + 100];
    size_t n;

    expect_read(text, strlen(text), "quay");
    memcpy(bytes, "\xEF\xBB\xBF", 3);
    memcpy(bytes + 3, text, sizeof text);
    expect_read(bytes, strlen(bytes), "quay");
    for (int big = 0; big < 2; big++) {
        memcpy(bytes, big ? "\xFE\xFF" : "\xFF\xFE", 2);
        n = 2 + widen(text, big, bytes + 2);
        expect_read(bytes, n, "quay");
        /* appendix F: without the mark the first characters of a declaration are enough */
        n = widen("<?xml version='1.0' encoding='UTF-16'?>", big, bytes);
        n += widen(PAGE(FRAME), big, bytes + n);
        expect_read(bytes, n, NULL);
        /* the other order's mark in front: nothing that begins with "<" */
        memcpy(bytes, big ? "\xFF\xFE" : "\xFE\xFF", 2);
        n = 2 + widen(text, big, bytes + 2);
        expect_refused_bytes(bytes, n, 1, "not an SVG drawing");
        /* half a character at the end */
        memcpy(bytes, big ? "\xFE\xFF" : "\xFF\xFE", 2);
        n = 2 + widen(text, big, bytes + 2);
        expect_refused_bytes(bytes, n - 1, 1, "not UTF-16");
    }
    expect_refused("\xEF\xBB\xBF", 1, "empty");
    expect_refused_bytes("\xFF\xFE", 2, 1, "empty");
}

Test(documents, declared_encodings)
{
    /* 0xE4 is a-umlaut in ISO 8859-1, U+0434 in windows-1251 */
    expect_read("<?xml version='1.0' encoding='iso-8859-1'?>" PAGE("<title>\xE4</title>" FRAME),
                strlen("<?xml version='1.0' encoding='iso-8859-1'?>" PAGE("<title>\xE4</title>" FRAME)),
                "\xC3\xA4");
    expect_read("<?xml version=\"1.0\" encoding=\"windows-1251\"?>" PAGE("<title>\xE4</title>" FRAME),
                strlen("<?xml version=\"1.0\" encoding=\"windows-1251\"?>" PAGE(
                    "<title>\xE4</title>" FRAME)),
                "\xD0\xB4");
    expect_refused("<?xml version='1.0' encoding='none-such-8'?>" PAGE(FRAME), 1, "none-such-8");
    expect_refused("<?xml version='1.0' encoding='UTF-7'?>" PAGE(FRAME), 1, "UTF-7");
    expect_refused("<?xml version='1.0' encoding='../UTF-8'?>" PAGE(FRAME), 1, "not known");
    /* a declaration that the bytes themselves contradict */
    struct reading r = read_text("<?xml version='1.0' encoding='utf-16'?>" PAGE(FRAME));
    cr_expect(find_note(&r.notes, "encoding") != NULL);
    reading_clear(&r);
}

Test(documents, characters_and_lines)
{
    static const char nul[] = "<svg xmlns='http://www.w3.org/2000/svg'>\n\0</svg>";

    expect_refused("<svg>\n<title>\xFF</title></svg>", 2, "0xFF");
    expect_refused("<svg>\r\n\r\n<title>\xC0\x80</title></svg>", 3, "0xC0"); /* overlong */
    expect_refused("<svg>\r\r<title>\xED\xA0\x80</title></svg>", 3, "0xED"); /* a surrogate */
    expect_refused("<svg>\n<title>\x1B[2J</title></svg>", 2, "U+001B");
    expect_refused("<svg>\n<title>\xEF\xBF\xBF</title></svg>", 2, "U+FFFF");
    expect_refused_bytes(nul, sizeof nul - 1, 2, "U+0000");
    /* the line of an element is that of its start tag's first character, whatever the line ends */
    expect_refused(ROOT("", "\r\n\r\n<path\r\n d='x'\r\n/>"), 3, "path data");
    expect_refused(ROOT("", "\n\n<g\n id='a'><path\n d='x'\n/></g>"), 4, "path data");
    expect_refused("<svg xmlns='http://www.w3.org/2000/svg'\rwidth='1'\rheight='x'/>", 1, "height");
}

Test(documents, what_is_not_well_formed)
{
    static const struct {
        const char *text;
        int line;
    } list[] = {
        {"<svg", 1},
        {"<svg>", 1},
        {"<svg>\n<g></svg>", 2},
        {"<svg>\n<desc></dess></svg>", 2},
        {"<svg>\n<g id='a' id='b'/></svg>", 2},
        {"<svg>\na & b</svg>", 2},
        {"<svg>\n<!-- </svg>", 2},
        {"<svg>\n<!-- -- --></svg>", 2},
        {"<svg>\n<g a=b/></svg>", 2},
        {"<svg>\n<g a='<'/></svg>", 2},
        {"<svg>\n< g/></svg>", 2},
        {"<svg>\n]]></svg>", 2},
        {"<svg>\n<![CDATA[x</svg>", 2},
        {"<svg>\n&#0;</svg>", 2},
        {"<svg>\n&#xD800;</svg>", 2},
        {"<svg/>\n<svg/>", 2},
        {"<svg/>\ntext", 2},
        {"<svg xmlns:a='u' xmlns:b='u'>\n<g a:x='1' b:x='2'/></svg>", 2},
        {"<?xml version='1.0'>\n<svg/>", 1},
    };

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++)
        expect_refused(list[i].text, list[i].line, "XML");
}

/* Cut off anywhere, a document is refused and nothing else happens. */
Test(documents, every_beginning_of_a_document)
{
    static const char text[] =
        "<?xml version='1.0'?><!DOCTYPE svg [<!ENTITY e 'x'>]>" PAGE(
            "<style>path{fill:none}</style><!-- c --><g id='a'><![CDATA[d]]>&e;" FRAME "</g>");

    for (size_t n = 0; n < sizeof text - 1; n++) {
        char *bytes = malloc(n ? n : 1); /* so that a sanitizer sees every byte too many */
        struct rab_drawing drawing = {0};
        struct rab_error err = {0};
        cr_assert(bytes != NULL);
        memcpy(bytes, text, n);
        cr_expect(not(rab_svg_read(bytes, n, NULL, &drawing, NULL, &err)), "%.*s", (int)n, text);
        cr_expect(err.fault == RAB_FAULT_INPUT);
        free(bytes);
    }
    expect_read(text, sizeof text - 1, NULL);
}

Test(documents, what_is_another_kind_of_file)
{
    static const struct {
        const char *bytes;
        size_t length;
        int line;
        const char *word;
    } list[] = {
        {"", 0, 1, "empty"},
        {" \r\n\t", 4, 1, "empty"},
        {"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", 16, 0, "PNG picture"},
        {"\xFF\xD8\xFF\xE0", 4, 0, "JPEG picture"},
        {"GIF89a", 6, 0, "GIF picture"},
        {"RIFF\0\0\0\0WEBPVP8 ", 16, 0, "WebP picture"},
        {"%PDF-1.7\n", 9, 0, "PDF document"},
        {"%!PS-Adobe", 10, 0, "PostScript"},
        {"PK\x03\x04", 4, 0, "ZIP archive"},
        {"  0\r\nSECTION\r\n", 14, 0, "DXF drawing"},
        {"0\nSECTION\n", 10, 0, "DXF drawing"},
        {"opening 1: round", 16, 1, "begins with \"opening 1: round\""},
        {"<html><svg/></html>", 19, 1, "root is <html>"},
        {"<svg xmlns='urn:x'/>", 20, 1, "namespace is \"urn:x\""},
    };

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++)
        expect_refused_bytes(list[i].bytes, list[i].length, list[i].line, list[i].word);
}

Test(documents, namespaces)
{
    static const char *const same[] = {
        PAGE(FRAME),
        "<s:svg xmlns:s='http://www.w3.org/2000/svg' width='100mm' height='80mm'"
        " viewBox='0 0 100 80'><s:path d='M0 0H100V80H0Z'/><path d='M0 0H1V1z'/></s:svg>",
        PAGE("<g xmlns:e='urn:x-editor' e:label='1'>" FRAME "<e:path d='x'/></g>"),
        PAGE(FRAME "<path xmlns='urn:x' d='x'/><a xmlns='urn:x'>" FRAME "</a>"),
        PAGE("<svg:path xmlns:svg='http://www.w3.org/2000/svg' d='M0 0H100V80H0Z'/>"),
    };

    for (size_t i = 0; i < sizeof same / sizeof same[0]; i++)
        expect_read(same[i], strlen(same[i]), NULL);
    struct reading r = read_text("<svg viewBox='0 0 9 9'>" FRAME "</svg>");
    cr_expect(find_note(&r.notes, "namespace") != NULL);
    reading_clear(&r);
    /* a prefix that nobody declared, as some programs leave it behind */
    r = read_text(PAGE(FRAME "<g ed:label='x'/><use xlink:href='#a'/><path id='a' d='M0 0h1v1z'/>"));
    cr_expect(find_note(&r.notes, "namespace") != NULL);
    cr_expect(eq(sz, r.drawing.count, 3));
    reading_clear(&r);
}

Test(documents, entities_as_programs_write_them)
{
    static const char text[] =
        "<!DOCTYPE svg PUBLIC '-//W3C//DTD SVG 1.1//EN' 'http://127.0.0.1:9/svg11.dtd' [\n"
        "<!ENTITY ns 'http://www.w3.org/2000/svg'> <!ENTITY st0 'fill:none;'>\n"
        "<!ENTITY shape '<path d=\"M0 0H9V9z\" style=\"&st0;\"/>'>\n"
        "<!ATTLIST path fill-rule CDATA 'evenodd'>\n"
        "]><svg xmlns='&ns;'><title>a&amp;b&#x21;</title>&shape;&shape;<g>&shape;</g></svg>";
    struct reading r = read_text(text);

    cr_assert(eq(sz, r.drawing.count, 3));
    for (size_t i = 0; i < 3; i++) {
        cr_expect(not(r.drawing.items[i].filled));
        cr_expect(r.drawing.items[i].rule == RAB_FILL_EVENODD);
    }
    expect_words(r.drawing.title, "a&b!");
    reading_clear(&r);
}

#define WITH(subset, body) "<!DOCTYPE svg [\n" subset "]>\n" PAGE(body FRAME)

Test(documents, entities_that_are_refused)
{
    static const struct {
        const char *text;
        int line;
        const char *word;
    } list[] = {
        {WITH("<!ENTITY x SYSTEM 'secret.txt'>", ""), 2, "outside the file"},
        {WITH("<!ENTITY x SYSTEM 'http://127.0.0.1:9/x'>", "&x;"), 2, "outside the file"},
        {WITH("<!ENTITY x PUBLIC 'a' 'b'>", ""), 2, "outside the file"},
        {WITH("<!ENTITY x SYSTEM 'b' NDATA n>", ""), 2, "outside the file"},
        {WITH("<!ENTITY % x 'y'>", ""), 2, "parameter entity"},
        {WITH("\n<!ENTITY % x SYSTEM 'secret.txt'> %x;", ""), 3, "parameter entity"},
        {WITH("%x;", ""), 2, "parameter entity"},
        {WITH("", "&x;"), 3, "not declared"},
        {WITH("", "<g id='&x;'/>"), 3, "not declared"},
        {WITH("<!ENTITY a '&b;'><!ENTITY b '&a;'>", "&a;"), 3, "entities use each other"},
        {WITH("<!ENTITY a '&b;'><!ENTITY b '&a;'>", "<g id='&a;'/>"), 3, "entities use each other"},
        {WITH("<!ENTITY a '<g>'>", "&a;</g>"), 3, "XML"},
    };

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++)
        expect_refused(list[i].text, list[i].line, list[i].word);
}

static void expect_bomb(const char *words, const char *body)
{
    struct rab_text text = {0};

    /* Ten levels of ten: 10^10 times the word. */
    rab_text_add(&text, "<!DOCTYPE svg [<!ENTITY a0 '");
    rab_text_add(&text, words);
    rab_text_add(&text, "'>");
    for (int i = 1; i <= 10; i++) {
        rab_text_format(&text, "<!ENTITY a%d '", i);
        for (int k = 0; k < 10; k++)
            rab_text_format(&text, "&a%d;", i - 1);
        rab_text_add(&text, "'>");
    }
    rab_text_add(&text, "]>\n" ROOT("", ""));
    text.length -= strlen("</svg>");
    rab_text_add(&text, body);
    rab_text_add(&text, FRAME "</svg>");
    expect_refused_bytes(text.data, text.length, 2, "expand to more than");
    rab_text_clear(&text);
}

Test(documents, entity_bombs_do_not_go_off, .timeout = 10)
{
    expect_bomb("lantern", "<desc>&a10;</desc>");
    expect_bomb("lantern", "<g id='&a10;'/>");
    expect_bomb("<g/>", "&a10;");
}

static void repeat(struct rab_text *text, const char *words, size_t times)
{
    for (size_t i = 0; i < times; i++)
        rab_text_add(text, words);
}

/* What would cost time or memory out of proportion is refused, each with its reason. */
Test(documents, costly_documents, .timeout = 20)
{
    struct rab_text text = {0};

    rab_text_add(&text, "<!DOCTYPE svg [<!ENTITY a '");
    repeat(&text, "lantern ", 12000);
    rab_text_add(&text, "'>]><svg xmlns='http://www.w3.org/2000/svg'><desc>");
    repeat(&text, "&a;", 20000);
    rab_text_add(&text, "</desc></svg>");
    expect_refused_bytes(text.data, text.length, 1, "expand to more than");
    rab_text_clear(&text);

    rab_text_add(&text, "<svg xmlns='http://www.w3.org/2000/svg'>\n<g");
    for (int i = 0; i < 100000; i++)
        rab_text_format(&text, " a%d='1'", i);
    rab_text_add(&text, "/></svg>");
    expect_refused_bytes(text.data, text.length, 2, "100000 attributes");
    rab_text_clear(&text);

    rab_text_add(&text, "<svg xmlns='http://www.w3.org/2000/svg'>\n");
    for (int i = 0; i < 100000; i++)
        rab_text_format(&text, "<g xmlns:a%d='u'>", i);
    expect_refused_bytes(text.data, text.length, 2, "namespaces");
    rab_text_clear(&text);

    rab_text_add(&text, "<!DOCTYPE svg [");
    for (int i = 0; i < 100000; i++)
        rab_text_format(&text, "<!ENTITY a%d 'x'>", i);
    rab_text_add(&text, "]>" PAGE(FRAME));
    expect_refused_bytes(text.data, text.length, 1, "4096 entities");
    rab_text_clear(&text);

    rab_text_add(&text, "<!DOCTYPE svg [<!ATTLIST g");
    for (int i = 0; i < 1000; i++)
        rab_text_format(&text, " a%d CDATA 'x'", i);
    rab_text_add(&text, ">]>" PAGE(FRAME));
    expect_refused_bytes(text.data, text.length, 1, "declared default");
    rab_text_clear(&text);

    rab_text_add(&text, "<svg xmlns='http://www.w3.org/2000/svg'>");
    repeat(&text, "<g>", 1100000);
    expect_refused_bytes(text.data, text.length, 1, "more than 1000000 elements");
    rab_text_clear(&text);
}

/* 100,000 elements in one another: heap, not stack. */
Test(documents, deep_nesting, .timeout = 10)
{
    struct rab_text text = {0};
    char *page = strdup(PAGE(""));

    cr_assert(page != NULL);
    page[strlen(page) - strlen("</svg>")] = '\0';
    rab_text_add(&text, page);
    repeat(&text, "<g>", 100000);
    rab_text_add(&text, FRAME);
    repeat(&text, "</g>", 100000);
    rab_text_add(&text, "</svg>");
    expect_read(text.data, text.length, NULL);
    rab_text_clear(&text);
    free(page);
}

static size_t pack(const char *bytes, size_t length, unsigned char *out, size_t room)
{
    z_stream stream = {0};

    cr_assert(deflateInit2(&stream, 9, Z_DEFLATED, 15 + 16, 9, Z_DEFAULT_STRATEGY) == Z_OK);
    stream.next_in = (z_const Bytef *)(uintptr_t)bytes;
    stream.avail_in = (uInt)length;
    stream.next_out = out;
    stream.avail_out = (uInt)room;
    cr_assert(deflate(&stream, Z_FINISH) == Z_STREAM_END);
    room = stream.total_out;
    deflateEnd(&stream);
    return room;
}

Test(documents, compressed_drawings)
{
    static const char text[] = PAGE("<title>quay</title>" FRAME);
    unsigned char packed[1024], *large;
    char *blanks;
    size_t n = pack(text, sizeof text - 1, packed, sizeof packed);

    expect_read((const char *)packed, n, "quay");
    for (size_t i = 2; i < n; i++)
        expect_refused_bytes((const char *)packed, i, 0, "damaged or cut short");
    packed[n - 6] ^= 1; /* the checksum */
    expect_refused_bytes((const char *)packed, n, 0, "damaged");
    n = pack("", 0, packed, sizeof packed);
    expect_refused_bytes((const char *)packed, n, 1, "empty");

    blanks = calloc(RAB_READ_LIMIT + 1, 1); /* packs a thousand to one */
    large = malloc(1 << 20);
    cr_assert(blanks && large);
    memset(blanks, ' ', RAB_READ_LIMIT + 1);
    n = pack(blanks, RAB_READ_LIMIT + 1, large, 1 << 20);
    expect_refused_bytes((const char *)large, n, 0, "unpacks to more than");
    expect_refused_bytes(blanks, RAB_READ_LIMIT + 1, 0, "larger than");
    free(blanks);
    free(large);
}

/* Nothing from the file can move a cursor or break a line of the message. */
Test(documents, messages_are_one_clean_line)
{
    static const char *const list[] = {
        PAGE("<path d='M0 0\n\nL&#x9B;31m&#x202E;x'/>"),
        PAGE("<g transform='&#10;&#x85;evil'/>"),
        ROOT("width='&#9;&#x200F;5ells'", ""),
        PAGE("<use href='#&#10;&#x2028;'/>"),
        "<!DOCTYPE svg [<!ENTITY \xD0\xB6 SYSTEM 'x'>]><svg/>",
    };

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        struct rab_drawing drawing = {0};
        struct rab_error err = {0};
        cr_expect(not(rab_svg_read(list[i], strlen(list[i]), NULL, &drawing, NULL, &err)));
        for (const char *c = err.text; *c; c++) {
            int code = (unsigned char)*c;
            cr_expect(code >= 0x20 && code != 0x7F, "%s", err.text);
        }
        cr_expect(strstr(err.text, "\xC2\x9B") == NULL && strstr(err.text, "\xE2\x80") == NULL);
    }
}
