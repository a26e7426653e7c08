/*
 * What every room stands on: errors and warnings, text, numbers and units, files.
 *
 * Lengths are millimetres and angles are radians wherever a name says nothing else.
 * Nothing here reads or changes the locale, and nothing keeps state between calls.
 */
#ifndef RABBET_BASE_H
#define RABBET_BASE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#if defined(__GNUC__)
#define RAB_API __attribute__((visibility("default")))
#define RAB_PRINTF(words, first) __attribute__((__format__(__printf__, words, first)))
#else
#define RAB_API
#define RAB_PRINTF(words, first)
#endif

#define RAB_PI 3.14159265358979323846
#define RAB_VERSION "0.1.0"

/* ---- errors ---------------------------------------------------------------------------- */

enum rab_fault {
    RAB_FAULT_NONE,
    RAB_FAULT_GEOMETRY, /* cannot be made as asked:        exit status 1 */
    RAB_FAULT_INPUT,    /* an option or an input is wrong: exit status 2 */
    RAB_FAULT_FILE,     /* cannot be read or written:      exit status 3 */
    RAB_FAULT_MEMORY,   /* memory is out:                  exit status 3 */
};

/* Zero it before the first call; a second fault never overwrites the first. */
struct rab_error {
    enum rab_fault fault;
    int line; /* in the input being read, 0 when there is none */
    char text[240];
};

/* Record a fault and return false, so that a function can end with `return rab_fail(...)`.
 * err may be NULL. Control characters in the text become '?'. Do not print numbers with %f or
 * %g (they follow the locale of the program that uses the library): see rab_text_number. */
RAB_API bool rab_fail(struct rab_error *err, enum rab_fault fault, const char *format, ...)
    RAB_PRINTF(3, 4);
RAB_API bool rab_fail_line(struct rab_error *err, enum rab_fault fault, int line,
                           const char *format, ...) RAB_PRINTF(4, 5);
RAB_API bool rab_fail_memory(struct rab_error *err);

/* What went well but should be known. `code` is a short fixed word for programs ("narrow-seam"),
 * a string that is never freed; `text` is for people. */
struct rab_warning {
    const char *code;
    int line; /* in the input, 0 when there is none */
    char text[240];
};
struct rab_warnings {
    struct rab_warning *items;
    size_t count, capacity;
};
/* Add a warning. notes may be NULL (then it is dropped). False only when memory is out. */
RAB_API bool rab_warn(struct rab_warnings *notes, struct rab_error *err, const char *code, int line,
                      const char *format, ...) RAB_PRINTF(5, 6);
RAB_API void rab_warnings_clear(struct rab_warnings *notes);

/* ---- memory ---------------------------------------------------------------------------- */

/* Make room for `want` items of `size` bytes in *items, growing by half at least. *items and
 * *capacity are unchanged when it fails. New memory is not cleared. */
RAB_API bool rab_reserve(void **items, size_t *capacity, size_t want, size_t size,
                         struct rab_error *err);

/* ---- text ------------------------------------------------------------------------------ */

/* A growing text, always ended by a NUL that `length` does not count. Lack of memory sets `failed`
 * and further additions do nothing, so that a writer checks once, at its end. */
struct rab_text {
    char *data; /* NULL while empty */
    size_t length, capacity;
    bool failed;
};
RAB_API void rab_text_clear(struct rab_text *text);
RAB_API void rab_text_add(struct rab_text *text, const char *words);
RAB_API void rab_text_bytes(struct rab_text *text, const void *bytes, size_t count);
RAB_API void rab_text_format(struct rab_text *text, const char *format, ...) RAB_PRINTF(2, 3);
/* Text as the content of an XML element or attribute, or as a quoted JSON string. Bytes that are
 * not UTF-8, and characters that XML does not allow, become U+FFFD. */
RAB_API void rab_text_xml(struct rab_text *text, const char *words);
RAB_API void rab_text_json(struct rab_text *text, const char *words);
/* Give a `failed` text as an error. */
RAB_API bool rab_text_ok(const struct rab_text *text, struct rab_error *err);

/* ---- numbers --------------------------------------------------------------------------- */

/* The shortest decimal that reads back as the same double; never an exponent for magnitudes from
 * 1e-5 to 1e15; "0" for both zeros. Non-finite values are a programming error. */
RAB_API void rab_text_number(struct rab_text *text, double value);
/* Rounded to `decimals` (0 to 15) places, halves away from zero as the double stands, trailing
 * zeros and a trailing point left out, never "-0". Up to 1e15 in magnitude. */
RAB_API void rab_text_fixed(struct rab_text *text, double value, int decimals);

/* Read one decimal number at the start of text (sign, digits, point, exponent; no blanks, no
 * hexadecimal, no names). Returns the number of bytes used, 0 when there is no number there.
 * The value is the double nearest to the decimal; *value is infinite when it is beyond doubles. */
RAB_API size_t rab_number_read(const char *text, size_t length, double *value);

/* ---- lengths --------------------------------------------------------------------------- */

enum rab_unit {
    RAB_UNIT_NONE, /* a length must carry its unit */
    RAB_UNIT_MM,
    RAB_UNIT_CM,
    RAB_UNIT_IN,
    RAB_UNIT_PT,
};

/* 1 in = 25.4 mm exactly (international yard and pound agreement, 1959); 1 pt = 1/72 in. */
RAB_API double rab_mm_from(double value, enum rab_unit unit);

/* Read a whole text as one length: "146mm", "14.6 cm", "5.75in", "5 3/4in", "5-3/4in", "1/8in",
 * "-2mm", "36pt"; as word processors write them too, in UTF-8: one character for 1/2 or 3/8, a
 * double prime for inches. A bare number takes `usual`. Err: INPUT with what would be right. */
RAB_API bool rab_length_read(const char *text, enum rab_unit usual, double *mm,
                             struct rab_error *err);
/* Width by height: "5.75x3.75in", "146mm x 95mm", "12 x 12 in". A width without a unit takes the
 * height's. Both must be more than 0. */
RAB_API bool rab_size_read(const char *text, enum rab_unit usual, double *width, double *height,
                           struct rab_error *err);

/* For people: "152.4 mm (6 in)", "100 mm (≈ 3 15/16 in)"; with in_first "6 in (152.4 mm)".
 * Millimetres to 2 places, inches to the nearest 1/denominator (16 or 32), ≈ when not exact
 * (further than 0.0005 mm away). */
RAB_API void rab_text_length(struct rab_text *text, double mm, bool in_first, int denominator);
/* The same for width x height: "152.4 x 101.6 mm (6 x 4 in)". */
RAB_API void rab_text_size(struct rab_text *text, double width, double height, bool in_first,
                           int denominator);

/* ---- files ----------------------------------------------------------------------------- */

/* Read a whole regular file of at most `limit` bytes (pipes, devices and folders are refused, and
 * opening one does not wait). Err: FILE. The caller clears out. */
RAB_API bool rab_file_read(const char *path, size_t limit, struct rab_text *out,
                           struct rab_error *err);

/* Files that appear all together or not at all. Add the bytes of each, then commit: every file is
 * written beside its place under a temporary name, flushed, and only when all are whole do they go
 * into place. When anything fails, even then, what was done is taken back: nothing is left behind
 * and older files stand. (Not where two fail at once: taking back, or on a file system on which
 * files cannot change places.) Devices, pipes, folders and write-protected files are not replaced;
 * of a link it is the link. */
struct rab_outputs {
    struct rab_output *items;
    size_t count, capacity;
};
struct rab_output {
    char *path;
    struct rab_text bytes;
    char *temporary;         /* this and what follows: while committing */
    bool exchanged, created; /* it is in its place, where an older file was or none */
};
/* Takes the bytes over (text is empty afterwards). A text that failed, or a path given twice, is
 * an error here. */
RAB_API bool rab_outputs_add(struct rab_outputs *outputs, const char *path, struct rab_text *text,
                             struct rab_error *err);
RAB_API bool rab_outputs_commit(struct rab_outputs *outputs, struct rab_error *err);
RAB_API void rab_outputs_clear(struct rab_outputs *outputs);

#endif
