#include "rabbet/base.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <libxml/parser.h>
#include <stdlib.h>
#include <string.h>

/* ---- errors and warnings ---- */

Test(error, the_first_fault_stands)
{
    struct rab_error err = {0};

    cr_expect(not(rab_fail_line(&err, RAB_FAULT_INPUT, 7, "opening %d is %s", 3, "open")));
    cr_expect(not(rab_fail(&err, RAB_FAULT_FILE, "something else")));
    cr_expect(not(rab_fail_memory(&err)));
    cr_expect(err.fault == RAB_FAULT_INPUT && err.line == 7);
    cr_expect(strcmp(err.text, "opening 3 is open") == 0);
    cr_expect(not(rab_fail(NULL, RAB_FAULT_FILE, "nobody listens")));
}

Test(error, a_message_is_one_clean_line)
{
    static const struct {
        const char *given, *shown;
    } cases[] = {
        {"a\nb\tc\rd", "a?b?c?d"},
        {"\x1b[31mred\x1b[0m", "?[31mred?[0m"}, /* what colours a terminal (ECMA-48) */
        {"\x7f\xc2\x9b"
         "1A",
         "??1A"}, /* DEL; CSI as one C1 character */
        {"gr\xc3\xbc\xc3\x9f dich, \xe2\x89\x88 \xf0\x9f\x8f\xae",
         "gr\xc3\xbc\xc3\x9f dich, \xe2\x89\x88 \xf0\x9f\x8f\xae"},
        {"\xe2\x80\xae"
         "gvs.x",
         "?gvs.x"}, /* U+202E turns the reading direction */
        {"a\xe2\x80\xa8"
         "b",
         "a?b"}, /* U+2028 line separator */
        {"\xff\xfe", "??"},
        {"\xc0\xaf", "??"},           /* an overlong slash */
        {"\xed\xa0\x80", "???"},      /* a surrogate */
        {"\xf4\x90\x80\x80", "????"}, /* above U+10FFFF */
        {"ends early \xe2\x89", "ends early ??"},
    };

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct rab_error err = {0};

        rab_fail(&err, RAB_FAULT_INPUT, "%s", cases[i].given);
        cr_expect(strcmp(err.text, cases[i].shown) == 0, "%zu: %s", i, err.text);
    }
}

Test(error, a_long_message_is_cut_between_characters_and_says_so)
{
    char words[1001];

    for (size_t length = 230; length < 1000; length++) {
        struct rab_error err = {0};
        size_t shown;

        /* U+2248 from different offsets, so that every place of the cut is tried */
        for (size_t i = 0; i < length; i++)
            words[i] = i < length % 3 ? 'a' : "\xe2\x89\x88"[(i - length % 3) % 3];
        words[length - (length - length % 3) % 3] = '\0';
        rab_fail(&err, RAB_FAULT_INPUT, "%s", words);
        shown = strlen(err.text);
        cr_assert(shown < sizeof err.text);
        cr_assert(strchr(err.text, '?') == NULL, "%s", err.text);
        if (strlen(words) < sizeof err.text)
            cr_assert(strcmp(err.text, words) == 0);
        else
            cr_assert(strcmp(err.text + shown - 3, "...") == 0 &&
                      strncmp(err.text, words, shown - 3) == 0 && shown > 230);
    }
}

Test(warnings, are_kept_in_order)
{
    struct rab_warnings notes = {0};
    struct rab_error err = {0};

    for (int i = 0; i < 100; i++)
        cr_assert(rab_warn(&notes, &err, "narrow-seam", i, "seam %d\n", i));
    cr_assert(rab_warn(NULL, &err, "narrow-seam", 0, "dropped"));
    cr_assert(notes.count == 100 && err.fault == RAB_FAULT_NONE);
    cr_expect(notes.items[42].line == 42);
    cr_expect(strcmp(notes.items[42].text, "seam 42?") == 0);
    cr_expect(strcmp(notes.items[99].code, "narrow-seam") == 0);
    rab_warnings_clear(&notes);
    rab_warnings_clear(&notes);
    cr_expect(notes.count == 0 && notes.items == NULL);
}

/* ---- memory ---- */

Test(memory, room_grows_by_half_and_never_overflows)
{
    void *items = NULL;
    size_t capacity = 0, before;
    struct rab_error err = {0};

    cr_assert(rab_reserve(&items, &capacity, 1000, 16, &err) && capacity >= 1000);
    before = capacity;
    cr_assert(rab_reserve(&items, &capacity, capacity + 1, 16, &err));
    cr_expect(capacity >= before + before / 2);
    before = capacity;
    cr_assert(rab_reserve(&items, &capacity, 5, 16, &err) && capacity == before);
    /* 2^60 items of 16 bytes would be 0 bytes if the product were allowed to wrap. */
    cr_expect(not(rab_reserve(&items, &capacity, (size_t)1 << 60, 16, &err)));
    cr_expect(err.fault == RAB_FAULT_MEMORY && capacity == before && items != NULL);
    err = (struct rab_error){0};
    cr_expect(not(rab_reserve(&items, &capacity, SIZE_MAX, 1, &err)));
    cr_expect(err.fault == RAB_FAULT_MEMORY && capacity == before);
    free(items);
}

/* ---- growing text ---- */

Test(text, grows_and_stays_ended)
{
    struct rab_text text = {0};
    char words[400];

    rab_text_bytes(&text, "", 0);
    cr_assert(text.data && text.length == 0 && text.data[0] == '\0');
    for (int i = 0; i < 1000; i++) {
        rab_text_add(&text, "ab");
        rab_text_format(&text, "%d%s", i % 10, "c");
        rab_text_bytes(&text, "\0d", 2);
        cr_assert(text.length == (size_t)(i + 1) * 6 && text.data[text.length] == '\0');
    }
    cr_expect(memcmp(text.data + 9 * 6, "ab9c\0d", 6) == 0);
    memset(words, 'w', sizeof words - 1);
    words[sizeof words - 1] = '\0';
    text.length = 0;
    for (int i = 0; i < 50; i++) /* longer than the room there is at the first try */
        rab_text_format(&text, "<%s>", words);
    cr_expect(text.length == 50 * 401 && text.data[text.length] == '\0');
    cr_expect(strspn(text.data + 49 * 401 + 1, "w") == 399);
    cr_expect(rab_text_ok(&text, NULL));
    rab_text_clear(&text);
    rab_text_clear(&text);
    cr_expect(text.data == NULL && text.length == 0);
}

/* Truth: libxml2 reads the escaped words back, from an attribute and from content. */
Test(text, xml_reads_back)
{
    static const struct {
        const char *given, *read;
    } cases[] = {
        {"plain", "plain"},
        {"<a href=\"x\">&amp;'</a>", "<a href=\"x\">&amp;'</a>"},
        {"tab\tline\nreturn\r.", "tab\tline\nreturn\r."},
        {"]]>", "]]>"},
        {"\xe2\x89\x88 \xf0\x9f\x8f\xae", "\xe2\x89\x88 \xf0\x9f\x8f\xae"},
        {"bell \x07.", "bell \xef\xbf\xbd."},
        {"latin \xfc.", "latin \xef\xbf\xbd."},
        {"\xef\xbf\xbe", "\xef\xbf\xbd"}, /* U+FFFE is no character of XML */
        {"", ""},
    };

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct rab_text text = {0};
        xmlDoc *doc;
        xmlChar *attribute, *content;

        rab_text_add(&text, "<p a='");
        rab_text_xml(&text, cases[i].given);
        rab_text_add(&text, "'>");
        rab_text_xml(&text, cases[i].given);
        rab_text_add(&text, "</p>");
        doc = xmlReadMemory(text.data, (int)text.length, NULL, "UTF-8", XML_PARSE_NONET);
        cr_assert(ne(ptr, doc, NULL), "%s", text.data);
        attribute = xmlGetProp(xmlDocGetRootElement(doc), (const xmlChar *)"a");
        content = xmlNodeGetContent(xmlDocGetRootElement(doc));
        cr_expect(strcmp((const char *)attribute, cases[i].read) == 0, "%s", text.data);
        cr_expect(strcmp((const char *)content, cases[i].read) == 0, "%s", text.data);
        xmlFree(attribute);
        xmlFree(content);
        xmlFreeDoc(doc);
        rab_text_clear(&text);
    }
}

/* Source: RFC 8259, section 7: quote, backslash and controls are escaped, all else stands. */
Test(text, json_strings)
{
    static const struct {
        const char *given, *written;
    } cases[] = {
        {"plain", "\"plain\""},
        {"say \"a\\b\"/", "\"say \\\"a\\\\b\\\"/\""},
        {"\b\f\n\r\t", "\"\xef\xbf\xbd\xef\xbf\xbd\\n\\r\\t\""},
        {"\xe2\x89\x88", "\"\xe2\x89\x88\""},
        {"\xff\x1f", "\"\xef\xbf\xbd\xef\xbf\xbd\""},
        {"", "\"\""},
    };
    struct rab_text text = {0};

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        text.length = 0;
        rab_text_json(&text, cases[i].given);
        cr_expect(strcmp(text.data, cases[i].written) == 0, "%s", text.data);
    }
    rab_text_clear(&text);
}
