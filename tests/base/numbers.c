#include "rabbet/base.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <float.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* xorshift64 (Marsaglia, Journal of Statistical Software 8/14, 2003), seeded. */
static uint64_t next_random(uint64_t *state)
{
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    return *state;
}

/* Doubles of every kind in turn: any bits, drawings' coordinates, short decimals, powers of two. */
static double random_double(uint64_t *state, int kind)
{
    uint64_t bits = next_random(state);
    double value;

    switch (kind % 5) {
    case 0:
        memcpy(&value, &bits, sizeof value);
        return isfinite(value) ? value : 1.5;
    case 1:
        return (double)(int64_t)bits / 1e16;
    case 2:
        return (double)(int64_t)bits / pow(2, (double)(next_random(state) % 80));
    case 3:
        return (double)(bits % 10000000000U) / pow(10, (double)(next_random(state) % 12));
    default:
        return ldexp(1, (int)(bits % 2000) - 1000);
    }
}

static double read_whole(const char *words)
{
    double value = 0;

    cr_assert(rab_number_read(words, strlen(words), &value) == strlen(words), "%.60s", words);
    return value;
}

static size_t significant_digits(const char *words)
{
    size_t count = 0, zeros = 0;

    for (; *words && *words != 'e'; words++) {
        if (*words < '0' || *words > '9' || (count == 0 && *words == '0'))
            continue;
        count++;
        zeros = *words == '0' ? zeros + 1 : 0;
    }
    return count - zeros;
}

/* ---- reading: the C library's strtod in the C locale is the truth (glibc: correctly rounded) ----
 */

static void expect_as_strtod(const char *words)
{
    double want = strtod(words, NULL), got = read_whole(words);

    cr_expect(memcmp(&want, &got, sizeof want) == 0, "%.60s: %a, not %a", words, got, want);
}

Test(numbers, reading_agrees_with_the_c_library)
{
    uint64_t state = 20231;

    for (int i = 0; i < 200000; i++) {
        char words[64];

        snprintf(words, sizeof words, "%.*e", (int)(next_random(&state) % 25),
                 random_double(&state, i));
        expect_as_strtod(words);
        snprintf(words, sizeof words, "%.*f", (int)(next_random(&state) % 20),
                 (double)(int64_t)next_random(&state) / 1e15);
        expect_as_strtod(words);
    }
}

/* Sources of the inputs, from memory: V. Paxson, A Program for Testing IEEE Decimal-Binary
 * Conversion (1991), table of decimals close to the middle between two doubles; the two numbers
 * around DBL_MIN that made well-known programs loop for ever in 2010 and 2011. */
Test(numbers, hard_cases_agree_with_the_c_library)
{
    static const char *const hard[] = {
        "5e125",
        "69e267",
        "999e-26",
        "7861e-34",
        "75569e-254",
        "928609e-261",
        "9210917e80",
        "84863171e114",
        "653777767e273",
        "5232604057e-298",
        "27235667517e-109",
        "653532977297e-123",
        "3142213164987e-294",
        "46202199371337e-72",
        "231010996856685e-73",
        "9324754620109615e212",
        "78459735791271921e49",
        "272104041512242479e200",
        "6802601037806061975e198",
        "20505426358836677347e-221",
        "836168422905420598437e-234",
        "4891559871276714924261e222",
        "2.2250738585072011e-308",
        "2.2250738585072012e-308",
        "2.2250738585072014e-308",
        "1.7976931348623157e308",
        "1.7976931348623158e308",
        "1.797693134862315807e308",
        "1.797693134862315808e308", /* rounds to infinity */
        "1.7976931348623159e308",
        "4.9406564584124654e-324",
        "2.4703282292062328e-324",
        "2.4703282292062327e-324", /* rounds to nothing */
        "1e-400",
        "1e400",
        "-1e400",
        "9007199254740991",
        "9007199254740992",
        "9007199254740993",
        "9007199254740995",
        "18446744073709551615",
        "18446744073709551616",
        "9999999999999999999",
        "8.41e21",
        "1e22",
        "1e23",
        "1e-22",
        "1e-23",
        "0.1e1",
        "-0",
        "-0.0e5",
        "000000000000000000000000000000000001.5",
        "0.000000000000000000000000000000000000000001e42",
    };

    for (size_t i = 0; i < sizeof hard / sizeof *hard; i++)
        expect_as_strtod(hard[i]);
}

/* Source: IEEE 754, round to nearest, ties to even. The middle of two neighbouring doubles fits a
 * long double of 64 bits, which the C library prints exactly. */
Test(numbers, middles_between_doubles_round_to_even_and_a_far_digit_decides)
{
    static char words[3000];
    uint64_t state = 5;

    cr_assert(LDBL_MANT_DIG >= 64);
    for (int i = 0; i < 2000; i++) {
        double low = fabs(random_double(&state, i)), high;
        uint64_t bits;
        int length;

        if (low < DBL_MIN || low > 1e300)
            low = 1.5;
        high = nextafter(low, (double)INFINITY);
        memcpy(&bits, &low, sizeof bits);
        length =
            snprintf(words, sizeof words, "%.1100Lf", ((long double)low + (long double)high) / 2);
        cr_assert(length > 0 && length < 2900);
        cr_expect(read_whole(words) == (bits % 2 == 0 ? low : high), "%a", low);
        strcpy(words + length, "00001");
        cr_expect(read_whole(words) == high, "above the middle from %a", low);
    }
}

Test(numbers, digits_without_end_are_read_rightly_and_quickly)
{
    enum { LONG = 1000000 };
    char *words = malloc(LONG + 100);

    cr_assert(ne(ptr, words, NULL));
    memset(words, '0', LONG + 100);
    words[0] = '1';
    strcpy(words + LONG, "e-999999");
    cr_expect(read_whole(words) == 1.0);
    words[0] = '0';
    words[1] = '.';
    strcpy(words + LONG, "25e999998");
    cr_expect(read_whole(words) == 0.25);
    memset(words, '3', LONG);
    words[1] = '.';
    words[LONG] = '\0';
    cr_expect(read_whole(words) == 10.0 / 3);
    /* A 1 at the very end lifts a middle off even: 2^53 + 1 and a little. */
    memset(words, '0', LONG);
    memcpy(words, "9007199254740993.", 17);
    words[LONG - 1] = '1';
    cr_expect(read_whole(words) == 9007199254740994.0);
    words[LONG - 1] = '0';
    cr_expect(read_whole(words) == 9007199254740992.0);
    free(words);
    cr_expect(read_whole("1e99999999999999999999999999") == (double)INFINITY);
    cr_expect(read_whole("-1e99999999999999999999999999") == -(double)INFINITY);
    cr_expect(read_whole("1e-99999999999999999999999999") == 0.0);
    cr_expect(read_whole("0e99999999999999999999999999") == 0.0);
}

/* Source: the grammar of numbers in SVG 1.1, section 8.3.9 (path data). */
Test(numbers, a_number_ends_where_its_grammar_ends)
{
    static const struct {
        const char *words;
        size_t used;
        double value;
    } cases[] = {
        {"12px", 2, 12},       {".5", 2, 0.5},     {"5.", 2, 5},     {"1e5", 3, 1e5},
        {"1E+5", 4, 1e5},      {"1e-5x", 4, 1e-5}, {"1e", 1, 1},     {"1e+", 1, 1},
        {"1em", 1, 1},         {"1.5.5", 3, 1.5},  {"1-2", 1, 1},    {"-.5-.5", 3, -0.5},
        {"+7", 2, 7},          {"0x10", 1, 0},     {"1,5", 1, 1},    {"1 5", 1, 1},
        {"1_000", 1, 1},       {"00.50", 5, 0.5},  {"3.e2", 4, 300}, {"1e5.5", 3, 1e5},
        {"1e0000002", 9, 100},
    };
    static const char *const none[] = {"",    "-",   "+",        ".",  "+.",   "-.e3", "e5",
                                       "nan", "inf", "infinity", " 1", "\t1",  "--1",  "+-1",
                                       "x",   "NaN", "\xD9\xA1", "_1", "-inf", "\n1"};
    double value = 42;

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        size_t used = rab_number_read(cases[i].words, strlen(cases[i].words), &value);

        cr_expect(used == cases[i].used && value == cases[i].value, "%s: %zu bytes, %a",
                  cases[i].words, used, value);
    }
    value = 42;
    for (size_t i = 0; i < sizeof none / sizeof *none; i++)
        cr_expect(rab_number_read(none[i], strlen(none[i]), &value) == 0 && value == 42, "%s",
                  none[i]);
    /* No byte beyond the length is looked at. */
    cr_expect(rab_number_read("123", 2, &value) == 2 && value == 12);
    cr_expect(rab_number_read("1e5", 2, &value) == 1 && value == 1);
    cr_expect(rab_number_read("-1", 1, &value) == 0);
}

/* ---- writing ---- */

static const char *write_number(struct rab_text *text, double value)
{
    text->length = 0;
    rab_text_number(text, value);
    cr_assert(rab_text_ok(text, NULL));
    return text->data;
}

Test(numbers, what_is_written_reads_back_the_same)
{
    struct rab_text text = {0};
    uint64_t state = 77;

    for (int i = 0; i < 400000; i++) {
        double value = random_double(&state, i);
        const char *words = write_number(&text, value);
        char *end;

        cr_assert(strtod(words, &end) == value && *end == '\0', "%a became %s", value, words);
        cr_assert(read_whole(words) == value);
        if (fabs(value) >= 1e-5 && fabs(value) <= 1e15)
            cr_assert(strchr(words, 'e') == NULL, "%s", words);
    }
    rab_text_clear(&text);
}

/* Truth: no decimal with fewer digits, rounded by the C library, reads back the same. */
Test(numbers, what_is_written_is_the_shortest)
{
    struct rab_text text = {0};
    uint64_t state = 78;

    for (int i = 0; i < 30000; i++) {
        /* The powers of two first: the gap below them is half as wide. */
        double value = i < 100 ? ldexp(1, 50 - i) : random_double(&state, i);
        size_t digits = significant_digits(write_number(&text, value));
        char words[64];

        for (int fewer = 1; fewer < (int)digits; fewer++) {
            snprintf(words, sizeof words, "%.*e", fewer - 1, value);
            cr_assert(strtod(words, NULL) != value, "%s is shorter than %s", words, text.data);
        }
        cr_assert(read_whole(text.data) == value);
    }
    rab_text_clear(&text);
}

Test(numbers, spellings_of_single_numbers)
{
    static const struct {
        double value;
        const char *words;
    } cases[] = {
        {0, "0"},
        {-0.0, "0"},
        {1, "1"},
        {-1, "-1"},
        {0.1, "0.1"},
        {-0.25, "-0.25"},
        {1.0 / 3, "0.3333333333333333"},
        {2.0 / 3, "0.6666666666666666"},
        {0.1 + 0.2, "0.30000000000000004"},
        {100, "100"},
        {123456.789, "123456.789"},
        {304.8, "304.8"},
        {5.0e-5, "0.00005"},
        {1e-5, "0.00001"},
        {9.5e-6, "9.5e-6"},
        {-9.5e-6, "-9.5e-6"},
        {999999999999999, "999999999999999"},
        {1e15, "1000000000000000"},
        {-1e15, "-1000000000000000"},
        {1e16, "1e16"},
        {1.25e100, "1.25e100"},
        /* The ends of the doubles, and 2^-44, whose nearest 16 digits do not read back while the
         * next ones do (known from Steele and White, and Gay; from memory). */
        {DBL_MAX, "1.7976931348623157e308"},
        {DBL_MIN, "2.2250738585072014e-308"},
        {4.9406564584124654e-324, "5e-324"},
        {0x1p-44, "5.684341886080802e-14"},
        {9007199254740.99, "9007199254740.99"},
        {RAB_PI, "3.141592653589793"},
        {1.0000000000000002, "1.0000000000000002"},
        {0.00001234567890123456, "0.00001234567890123456"},
    };
    struct rab_text text = {0};

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        cr_expect(strcmp(write_number(&text, cases[i].value), cases[i].words) == 0, "%s, not %s",
                  text.data, cases[i].words);
    rab_text_clear(&text);
}

/* The exact decimal expansion of a double (the C library prints it), rounded by hand: up when the
 * first digit left out is 5 or more, which is half away from zero exactly. */
static void round_by_hand(double value, int decimals, char *out, size_t size)
{
    char digits[1500];
    int length = snprintf(digits + 1, sizeof digits - 1, "%.1100f", fabs(value)) + 1;
    char *point = strchr(digits + 1, '.'), *start = digits, *end = point + 1 + decimals;
    bool up = *end >= '5';

    cr_assert(length > 0 && length < (int)sizeof digits && end < digits + length);
    digits[0] = '0';
    *end = '\0';
    for (char *at = end - 1; up && at >= start; at--) {
        if (*at == '.')
            continue;
        up = *at == '9';
        *at = up ? '0' : (char)(*at + 1);
    }
    while (end[-1] == '0')
        *--end = '\0';
    if (end[-1] == '.')
        *--end = '\0';
    while (start[0] == '0' && start[1] >= '0' && start[1] <= '9')
        start++;
    snprintf(out, size, "%s%s", value < 0 && strcmp(start, "0") != 0 ? "-" : "",
             *start ? start : "0");
}

Test(numbers, fixed_places_are_the_exact_expansion_rounded)
{
    struct rab_text text = {0};
    uint64_t state = 4711;
    char want[1500];

    for (int i = 0; i < 60000; i++) {
        int decimals = (int)(next_random(&state) % 16);
        double value = random_double(&state, i);

        if (fabs(value) > 1e15)
            value = (double)(int64_t)next_random(&state) / 1e4;
        if (i % 4 == 0) /* exact ties: odd multiples of a power of a half */
            value = ((double)(next_random(&state) % 100000) + 0.5) / pow(2, decimals);
        text.length = 0;
        rab_text_fixed(&text, value, decimals);
        round_by_hand(value, decimals, want, sizeof want);
        cr_assert(strcmp(text.data, want) == 0, "%a to %d places: %s, not %s", value, decimals,
                  text.data, want);
    }
    rab_text_clear(&text);
}

Test(numbers, spellings_with_fixed_places)
{
    static const struct {
        double value;
        int decimals;
        const char *words;
    } cases[] = {
        {0, 3, "0"},
        {-0.0, 3, "0"},
        {0.5, 0, "1"},
        {1.5, 0, "2"},
        {2.5, 0, "3"},
        {-0.5, 0, "-1"},
        {-2.5, 0, "-3"},
        {0.49999999999999994, 0, "0"},
        {0.125, 2, "0.13"},
        {0.375, 2, "0.38"},
        {-0.125, 2, "-0.13"},
        {1.005, 2, "1"},    /* the double is below: 1.00499999999999989... */
        {2.675, 2, "2.67"}, /* the double is below: 2.67499999999999982... */
        {-0.0004, 3, "0"},
        {0.0006, 3, "0.001"},
        {999.9996, 3, "1000"},
        {9.995, 2, "9.99"},
        {304.8, 4, "304.8"},
        {12.34567, 4, "12.3457"},
        {1e15, 0, "1000000000000000"},
        {1e15, 15, "1000000000000000"},
        {-123456789.987654321, 6, "-123456789.987654"},
        {4.9406564584124654e-324, 15, "0"},
        {1e-16, 15, "0"},
        {5e-16, 15, "0.000000000000001"},
        {4.9e-16, 15, "0"},
        {0.1, 15, "0.1"},
        {100, 2, "100"},
        {1e9, 9, "1000000000"},
        {1.5e16, 3, "1.5e16"}, /* beyond what is promised, but not wrong */
    };
    struct rab_text text = {0};

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        text.length = 0;
        rab_text_fixed(&text, cases[i].value, cases[i].decimals);
        cr_expect(strcmp(text.data, cases[i].words) == 0, "%a: %s, not %s", cases[i].value,
                  text.data, cases[i].words);
    }
    rab_text_clear(&text);
}
