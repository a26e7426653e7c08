#include "read/decode.h"

#include "base/utf8.h"
#include "rabbet/read.h"
#include "read/number.h"

#include <errno.h>
#include <iconv.h>
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

/* libxml2 compares every attribute of an element with every other one. No drawing program comes
 * near this many. */
static const size_t attributes_allowed = 256;

struct quote quote_text(const char *text, size_t length)
{
    enum { SHOWN = 40 };
    struct quote quote = {{0}};
    size_t at = 0;

    while (at < length) {
        uint32_t code;
        size_t bytes = utf8_decode((const unsigned char *)text + at, length - at, &code);
        if (bytes == 0)
            bytes = 1;
        if (at + bytes > SHOWN)
            break;
        at += bytes;
    }
    if (at > 0)
        memcpy(quote.text, text, at);
    if (at < length)
        memcpy(quote.text + at, "...", 4);
    return quote;
}

/* ---- what else it may be ---- */

struct signature {
    const char *bytes;
    size_t length;
    const char *what;
};

static bool begins(const char *bytes, size_t length, const char *with, size_t count)
{
    return length >= count && memcmp(bytes, with, count) == 0;
}

static bool refuse_others(const char *bytes, size_t length, struct rab_error *err)
{
    static const struct signature others[] = {
        {"\x89PNG", 4, "a PNG picture"},    {"\xFF\xD8\xFF", 3, "a JPEG picture"},
        {"GIF8", 4, "a GIF picture"},       {"BM", 2, "a BMP picture"},
        {"II*\0", 4, "a TIFF picture"},     {"MM\0*", 4, "a TIFF picture"},
        {"%PDF", 4, "a PDF document"},      {"%!PS", 4, "a PostScript document"},
        {"PK\x03\x04", 4, "a ZIP archive"}, {"\x00\x00\x01\x00", 4, "an icon picture"},
    };
    const char *what = NULL;
    size_t at = 0;

    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++)
        if (begins(bytes, length, others[i].bytes, others[i].length))
            what = others[i].what;
    if (begins(bytes, length, "RIFF", 4) && length >= 12 && memcmp(bytes + 8, "WEBP", 4) == 0)
        what = "a WebP picture";
    while (at < length && (bytes[at] == ' ' || bytes[at] == '\r' || bytes[at] == '\n'))
        at++;
    if (length - at > 2 && bytes[at] == '0' && (bytes[at + 1] == '\r' || bytes[at + 1] == '\n'))
        what = "a DXF drawing"; /* "0", then "SECTION" on a line of its own */
    if (!what)
        return true;
    return rab_fail(err, RAB_FAULT_INPUT, "this is %s; give an SVG drawing (lines, not pixels)",
                    what);
}

/* ---- gzip ---- */

static bool unpack(const char *bytes, size_t length, struct rab_text *out, struct rab_error *err)
{
    unsigned char block[65536];
    z_stream stream = {0};
    int status;
    bool ok = false;

    /* 15 + 16: the largest window, a gzip header and its checksum (zlib manual, inflateInit2) */
    if (inflateInit2(&stream, 15 + 16) != Z_OK)
        return rab_fail_memory(err);
    stream.next_in = (z_const Bytef *)(uintptr_t)bytes;
    stream.avail_in = (uInt)length;
    do {
        stream.next_out = block;
        stream.avail_out = sizeof block;
        status = inflate(&stream, Z_NO_FLUSH);
        if (status == Z_MEM_ERROR) {
            rab_fail_memory(err);
            goto done;
        }
        if (status != Z_OK && status != Z_STREAM_END) {
            rab_fail(err, RAB_FAULT_INPUT,
                     "the compressed drawing is damaged or cut short; save it again");
            goto done;
        }
        if (sizeof block - stream.avail_out > RAB_READ_LIMIT - out->length) {
            rab_fail(err, RAB_FAULT_INPUT,
                     "the drawing unpacks to more than %zu MB; give a smaller one",
                     RAB_READ_LIMIT >> 20);
            goto done;
        }
        rab_text_bytes(out, block, sizeof block - stream.avail_out);
        if (!rab_text_ok(out, err))
            goto done;
    } while (status != Z_STREAM_END);
    ok = true;
done:
    inflateEnd(&stream);
    return ok;
}

/* ---- encodings ---- */

/* The value of `encoding` in the XML declaration, "" when there is none. */
static void find_declared(const char *bytes, size_t length, char name[48])
{
    const char *end = NULL, *at;
    size_t count = 0;
    char mark;

    name[0] = '\0';
    if (!begins(bytes, length, "<?xml", 5))
        return;
    for (size_t i = 5; i + 1 < length && i < 1024 && !end; i++)
        if (bytes[i] == '?' && bytes[i + 1] == '>')
            end = bytes + i;
    if (!end)
        return;
    for (at = bytes + 5; at + 9 < end && memcmp(at, "encoding", 8) != 0;)
        at++;
    if (at + 9 >= end)
        return;
    at += 8;
    while (at < end && (*at == ' ' || *at == '\t' || *at == '\n' || *at == '\r' || *at == '='))
        at++;
    if (at == end || (*at != '"' && *at != '\''))
        return;
    mark = *at++;
    while (at < end && *at != mark && count < 47)
        name[count++] = *at++;
    name[count] = '\0';
}

/* Encodings in which ASCII is ASCII. Stateful ones and those of mainframes are not among them. */
static bool is_allowed(const char *name)
{
    static const char *const families[] = {
        "ISO-8859-", "ISO_8859-", "ISO8859-", "windows-", "CP125",     "CP437",
        "CP850",     "CP866",     "KOI8-",    "latin",    "macintosh", "Shift_JIS",
        "EUC-",      "GB2312",    "GBK",      "GB18030",  "Big5",      "TIS-620"};

    for (const char *c = name; *c; c++)
        if (!((*c >= 'A' && *c <= 'Z') || (*c >= 'a' && *c <= 'z') || (*c >= '0' && *c <= '9') ||
              *c == '-' || *c == '_'))
            return false;
    for (size_t i = 0; i < sizeof families / sizeof families[0]; i++)
        if (slice_begins(slice_of(name), families[i]))
            return true;
    return false;
}

static int count_lines(const char *text, size_t length)
{
    int lines = 1;

    for (size_t i = 0; i < length; i++)
        lines += text[i] == '\n';
    return lines;
}

static bool convert(const char *bytes, size_t length, const char *encoding, struct rab_text *out,
                    struct rab_error *err)
{
    char block[16384];
    char *in = (char *)(uintptr_t)bytes;
    size_t left = length;
    iconv_t converter = iconv_open("UTF-8", encoding);
    bool ok = false;

    if (converter == (iconv_t)-1)
        return rab_fail_line(err, RAB_FAULT_INPUT, 1,
                             "the encoding \"%s\" is not known; save the file as UTF-8", encoding);
    for (;;) {
        char *at = block;
        size_t room = sizeof block;
        size_t status = iconv(converter, &in, &left, &at, &room);
        int reason = errno;

        rab_text_bytes(out, block, (size_t)(at - block));
        if (!rab_text_ok(out, err))
            break;
        if (status != (size_t)-1) {
            ok = true;
            break;
        }
        if (reason != E2BIG) {
            rab_fail_line(err, RAB_FAULT_INPUT,
                          count_lines(out->data ? out->data : "", out->length),
                          "bytes that are not %s text; save the file as UTF-8", encoding);
            break;
        }
    }
    iconv_close(converter);
    return ok;
}

/* Which encoding to convert from; NULL for none, because it is UTF-8 already. *skip is the length
 * of the byte order mark. */
static bool choose_encoding(const char *bytes, size_t length, const char **encoding,
                            char declared[48], size_t *skip, struct rab_warnings *notes,
                            struct rab_error *err)
{
    *encoding = NULL;
    *skip = 0;
    declared[0] = '\0';
    if (begins(bytes, length, "\xEF\xBB\xBF", 3)) {
        *skip = 3;
        return true;
    }
    if (begins(bytes, length, "\xFF\xFE", 2) || begins(bytes, length, "\xFE\xFF", 2)) {
        *skip = 2;
        *encoding = bytes[0] == '\xFF' ? "UTF-16LE" : "UTF-16BE";
        return true;
    }
    /* XML 1.0, appendix F: without a mark, the first characters of the declaration tell */
    if (begins(bytes, length, "<\0?\0", 4) || begins(bytes, length, "\0<\0?", 4)) {
        *encoding = bytes[0] == '<' ? "UTF-16LE" : "UTF-16BE";
        return true;
    }
    find_declared(bytes, length, declared);
    if (declared[0] == '\0' || slice_is(slice_of(declared), "UTF-8") ||
        slice_is(slice_of(declared), "UTF8") || slice_is(slice_of(declared), "US-ASCII") ||
        slice_is(slice_of(declared), "ASCII"))
        return true;
    if (slice_begins(slice_of(declared), "UTF-16"))
        return rab_warn(notes, err, "encoding", 1,
                        "the declaration says %s, but the text is not; it is read as UTF-8",
                        declared);
    if (!is_allowed(declared))
        return rab_fail_line(err, RAB_FAULT_INPUT, 1,
                             "the encoding \"%s\" is not known; save the file as UTF-8", declared);
    *encoding = declared;
    return true;
}

/* ---- characters ---- */

/* Char of XML 1.0, 2.2 */
static bool is_xml(uint32_t code)
{
    return code >= 0x20 ? code != 0xFFFE && code != 0xFFFF : code == '\t' || code == '\n';
}

static bool check_characters(const char *text, size_t length, struct rab_text *out,
                             struct rab_error *err)
{
    size_t start = 0, at = 0;
    int line = 1;

    while (at < length) {
        uint32_t code = (unsigned char)text[at];
        size_t bytes = 1;

        if (code == '\r') { /* XML 1.0, 2.11: line ends are LF to the parser */
            rab_text_bytes(out, text + start, at - start);
            start = ++at;
            if (at == length || text[at] != '\n')
                rab_text_bytes(out, "\n", 1), line++;
            continue;
        }
        if (code >= 0x80) {
            bytes = utf8_decode((const unsigned char *)text + at, length - at, &code);
            if (bytes == 0)
                return rab_fail_line(err, RAB_FAULT_INPUT, line,
                                     "a byte that is not UTF-8 text (0x%02X); save the file as "
                                     "UTF-8 or declare its encoding",
                                     (unsigned)(unsigned char)text[at]);
        }
        if (!is_xml(code))
            return rab_fail_line(err, RAB_FAULT_INPUT, line,
                                 "the character U+%04X is not allowed in XML; save the file as "
                                 "text",
                                 (unsigned)code);
        line += code == '\n';
        at += bytes;
    }
    rab_text_bytes(out, text + start, at - start);
    return rab_text_ok(out, err);
}

/* ---- tags ---- */

/* The end of a construct that ends with `mark`, or the end of the text. */
static const char *skip_past(const char *at, const char *end, const char *mark)
{
    const char *found = strstr(at, mark);

    return found ? found + strlen(mark) : end;
}

/* The end of a DOCTYPE; at stands behind "<!". */
static const char *skip_doctype(const char *at, const char *end)
{
    bool subset = false;

    while (at < end) {
        if (*at == '"' || *at == '\'') {
            const char *other = memchr(at + 1, *at, (size_t)(end - at) - 1);
            if (!other)
                return end;
            at = other;
        } else if (strncmp(at, "<!--", 4) == 0) {
            at = skip_past(at + 4, end, "-->");
            continue;
        } else if (strncmp(at, "<?", 2) == 0) {
            at = skip_past(at + 2, end, "?>");
            continue;
        } else if (*at == '[') {
            subset = true;
        } else if (*at == ']') {
            subset = false;
        } else if (*at == '>' && !subset) {
            return at + 1;
        }
        at++;
    }
    return end;
}

/* Walk through the start tags and count their attributes. What is not well-formed is left to the
 * parser to complain about. */
static bool check_tags(const struct rab_text *text, struct rab_error *err)
{
    if (text->length == 0)
        return true;

    const char *end = text->data + text->length;

    for (const char *at = text->data; (at = memchr(at, '<', (size_t)(end - at)));) {
        const char *tag = at;
        size_t attributes = 0;

        if (strncmp(at, "<!--", 4) == 0) {
            at = skip_past(at + 4, end, "-->");
            continue;
        }
        if (strncmp(at, "<![CDATA[", 9) == 0) {
            at = skip_past(at + 9, end, "]]>");
            continue;
        }
        if (at[1] == '?' || at[1] == '!') {
            at = at[1] == '?' ? skip_past(at + 2, end, "?>") : skip_doctype(at + 2, end);
            continue;
        }
        for (at++; at < end && *at != '>'; at++) {
            if (*at != '"' && *at != '\'')
                continue;
            attributes++;
            at = memchr(at + 1, *at, (size_t)(end - at) - 1);
            if (!at)
                return true;
        }
        if (attributes > attributes_allowed)
            return rab_fail_line(err, RAB_FAULT_INPUT,
                                 count_lines(text->data, (size_t)(tag - text->data)),
                                 "an element with %zu attributes; up to %zu are read", attributes,
                                 attributes_allowed);
    }
    return true;
}

static bool check_start(const struct rab_text *text, struct rab_error *err)
{
    const char *at = text->data ? text->data : "";

    at += strspn(at, " \t\n");
    if (*at == '\0')
        return rab_fail_line(err, RAB_FAULT_INPUT, 1, "the file is empty; give an SVG drawing");
    if (*at != '<')
        return rab_fail_line(err, RAB_FAULT_INPUT, 1,
                             "this is not an SVG drawing: it begins with \"%s\", not with \"<\"",
                             quote_text(at, strcspn(at, "\n")).text);
    return true;
}

bool decode_text(const char *bytes, size_t length, struct rab_text *out, struct rab_warnings *notes,
                 struct rab_error *err)
{
    struct rab_text converted = {0}, checked = {0};
    const char *encoding;
    char declared[48];
    size_t skip;
    bool ok = false;

    if (!choose_encoding(bytes, length, &encoding, declared, &skip, notes, err))
        return false;
    bytes += skip;
    length -= skip;
    if (encoding) {
        if (!convert(bytes, length, encoding, &converted, err))
            goto done;
        bytes = converted.data ? converted.data : "";
        length = converted.length;
    }
    if (!check_characters(bytes, length, &checked, err))
        goto done;
    *out = checked;
    checked = (struct rab_text){0};
    ok = true;
done:
    rab_text_clear(&checked);
    rab_text_clear(&converted);
    return ok;
}

bool decode_drawing(const char *bytes, size_t length, struct rab_text *out,
                    struct rab_warnings *notes, struct rab_error *err)
{
    struct rab_text unpacked = {0}, text = {0};
    bool ok = false;

    if (length > RAB_READ_LIMIT)
        return rab_fail(err, RAB_FAULT_INPUT, "the file is larger than %zu MB; give a smaller one",
                        RAB_READ_LIMIT >> 20);
    if (begins(bytes, length, "\x1F\x8B", 2)) {
        if (!unpack(bytes, length, &unpacked, err))
            goto done;
        bytes = unpacked.data ? unpacked.data : "";
        length = unpacked.length;
    }
    if (!refuse_others(bytes, length, err) || !decode_text(bytes, length, &text, notes, err) ||
        !check_start(&text, err) || !check_tags(&text, err))
        goto done;
    *out = text;
    text = (struct rab_text){0};
    ok = true;
done:
    rab_text_clear(&text);
    rab_text_clear(&unpacked);
    return ok;
}
