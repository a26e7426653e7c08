#include "rabbet/base.h"

#include <assert.h>
#include <float.h>
#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Wide enough for a double's 53 bits and the two rounding bits times 5^22, so that decimals of
 * the usual sizes are found by exact integers instead of trial. */
__extension__ typedef unsigned __int128 wide;

/* All powers of ten and five that a double or 64 bits hold exactly. */
static const double double_ten[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                    1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                    1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
static const uint64_t five[] = {1U,
                                5U,
                                25U,
                                125U,
                                625U,
                                3125U,
                                15625U,
                                78125U,
                                390625U,
                                1953125U,
                                9765625U,
                                48828125U,
                                244140625U,
                                1220703125U,
                                6103515625U,
                                30517578125U,
                                152587890625U,
                                762939453125U,
                                3814697265625U,
                                19073486328125U,
                                95367431640625U,
                                476837158203125U,
                                2384185791015625U};
static const uint64_t ten[] = {1U,
                               10U,
                               100U,
                               1000U,
                               10000U,
                               100000U,
                               1000000U,
                               10000000U,
                               100000000U,
                               1000000000U,
                               10000000000U,
                               100000000000U,
                               1000000000000U,
                               10000000000000U,
                               100000000000000U,
                               1000000000000000U,
                               10000000000000000U,
                               100000000000000000U};
enum { EXACT_TEN = 22 };

static const double largest_plain = 1e15;
static const double smallest_plain = 1e-5;

/* value = mantissa * 2^exponent, exactly; value > 0. */
static uint64_t take_apart(double value, int *exponent)
{
    uint64_t bits;
    int power;

    memcpy(&bits, &value, sizeof bits);
    power = (int)(bits >> 52 & 0x7FF);
    bits &= ((uint64_t)1 << 52) - 1;
    *exponent = (power ? power : 1) - 1075;
    return power ? bits | (uint64_t)1 << 52 : bits;
}

/* Writes digits so that the last stands before `end`; at least `least` of them. */
static char *put_digits(char *end, uint64_t number, int least)
{
    while (number > 0 || least > 0) {
        *--end = (char)('0' + number % 10);
        number /= 10;
        least--;
    }
    return end;
}

/* whole.part with `decimals` places in part, trailing zeros left out. */
static void add_decimal(struct rab_text *text, bool negative, uint64_t whole, uint64_t part,
                        int decimals)
{
    char digits[64], *end = digits + sizeof digits, *start = end;

    if (part > 0) {
        while (part % 10 == 0) {
            part /= 10;
            decimals--;
        }
        start = put_digits(start, part, decimals);
        *--start = '.';
    }
    start = put_digits(start, whole, 1);
    if (negative)
        *--start = '-';
    rab_text_bytes(text, start, (size_t)(end - start));
}

void rab_text_fixed(struct rab_text *text, double value, int decimals)
{
    double size = fabs(value);
    uint64_t mantissa;
    wide scaled;
    int exponent, shift;

    assert(isfinite(value) && decimals >= 0 && decimals <= 15);
    if (size > largest_plain) { /* no places are left that could be rounded, or nearly so */
        rab_text_number(text, value);
        return;
    }
    /* size * 10^decimals = mantissa * 5^decimals * 2^(exponent + decimals): at most 100 bits */
    mantissa = take_apart(size, &exponent);
    scaled = (wide)mantissa * five[decimals];
    shift = exponent + decimals;
    if (shift >= 0)
        scaled <<= shift;
    else if (shift > -127)
        scaled = (scaled + ((wide)1 << (-shift - 1))) >> -shift;
    else
        scaled = 0;
    if (scaled <= UINT64_MAX) {
        uint64_t narrow = (uint64_t)scaled;
        add_decimal(text, value < 0 && narrow > 0, narrow / ten[decimals], narrow % ten[decimals],
                    decimals);
    } else {
        add_decimal(text, value < 0, (uint64_t)(scaled / ten[decimals]),
                    (uint64_t)(scaled % ten[decimals]), decimals);
    }
}

/*
 * The shortest decimal of a value from 1e-5 to 1e15, as number / 10^places.
 *
 * Everything between the middles towards the two neighbouring doubles reads back as the value. Both
 * middles are found exactly, in units of the 17th digit, and then the largest power of ten with a
 * multiple between them; of those multiples the one nearest to the value is taken. (That one lies
 * between the middles, too: they are equally far away, but for the powers of two, and of these only
 * 2^-16 to 2^-1 come here; a test goes through them.)
 */
static uint64_t find_shortest(double size, int *places)
{
    int exponent, scale, shift;
    uint64_t mantissa = take_apart(size, &exponent), low, high, unit = 1, best;
    wide below, middle, above, rest;

    scale = 0;
    while (scale < EXACT_TEN && size * double_ten[scale] < 1e16)
        scale++;
    /* Four times the mantissa, because below a power of two the gap is half as wide. */
    below = (wide)(4 * mantissa - (mantissa == (uint64_t)1 << 52 ? 1 : 2)) * five[scale];
    middle = (wide)(4 * mantissa) * five[scale];
    above = (wide)(4 * mantissa + 2) * five[scale];
    shift = -(exponent - 2 + scale);
    assert(shift > 1 && shift < 128);
    /* Neither is a whole number: their last bits are 1 or 10, and more are shifted out. */
    low = (uint64_t)(below >> shift) + 1;
    high = (uint64_t)(above >> shift);
    while (high / (unit * 10) * (unit * 10) >= low)
        unit *= 10;

    /* The multiple of unit nearest to the middle. */
    best = (uint64_t)(middle >> shift);
    rest = middle - ((wide)(best / unit * unit) << shift); /* beyond the multiple below */
    best = best / unit * unit;
    if (2 * rest > (wide)unit << shift || (2 * rest == (wide)unit << shift && best / unit % 2 == 1))
        best += unit;
    while (scale > 0 && best % 10 == 0) {
        best /= 10;
        scale--;
    }
    *places = scale;
    return best;
}

/* Digits of a value (value > 0) rounded to `count`, and the power of ten of the first. The decimal
 * separator of the locale is whatever is no digit. */
static int print_digits(double value, int count, char digits[18])
{
    char words[64];
    const char *at = words;
    int found = 0, power = 0;
    bool down;

    snprintf(words, sizeof words, "%.*e", count - 1, value);
    for (; *at != 'e'; at++)
        if (*at >= '0' && *at <= '9' && found < 17)
            digits[found++] = *at;
    digits[found] = '\0';
    at++;
    down = *at == '-';
    for (at++; *at; at++)
        power = power * 10 + (*at - '0');
    return down ? -power : power;
}

static void write_exponential(struct rab_text *text, const char *digits, int power)
{
    rab_text_bytes(text, digits, 1);
    if (digits[1]) {
        rab_text_add(text, ".");
        rab_text_add(text, digits + 1);
    }
    rab_text_format(text, "e%d", power);
}

static bool reads_back(const char *digits, int power, double value)
{
    char words[48];
    double back = 0;
    int length = snprintf(words, sizeof words, "%se%d", digits, power - (int)strlen(digits) + 1);

    return rab_number_read(words, (size_t)length, &back) == (size_t)length && back == value;
}

/* The next decimal upwards with as many digits; not used on 99...9. */
static void step_up(char *digits)
{
    size_t at = strlen(digits) - 1;

    while (at > 0 && digits[at] == '9')
        digits[at--] = '0';
    if (digits[at] < '9')
        digits[at]++;
}

/* Far from 1 the shortest decimal is found by trial: such numbers are rare in drawings. A decimal
 * of up to 15 digits survives the way through a normal double, so shorter ones than that show as
 * zeros at its end. */
static void add_exponential(struct rab_text *text, double size)
{
    char digits[18];
    int exponent, count = size < DBL_MIN ? 1 : DBL_DIG, power;
    bool power_of_two = take_apart(size, &exponent) == (uint64_t)1 << 52;

    for (;; count++) { /* 17 digits always read back */
        power = print_digits(size, count, digits);
        if (reads_back(digits, power, size))
            break;
        /* Below a power of two doubles lie closer: the decimal above may serve, farther away. */
        if (power_of_two) {
            step_up(digits);
            if (reads_back(digits, power, size))
                break;
        }
    }
    for (size_t last = strlen(digits) - 1; last > 0 && digits[last] == '0'; last--)
        digits[last] = '\0';
    write_exponential(text, digits, power);
}

void rab_text_number(struct rab_text *text, double value)
{
    double size = fabs(value);
    uint64_t number;
    int places;

    assert(isfinite(value));
    if (size <= largest_plain && size == (double)(uint64_t)size) {
        add_decimal(text, value < 0, (uint64_t)size, 0, 0);
        return;
    }
    if (size > largest_plain || size < smallest_plain) {
        if (value < 0)
            rab_text_add(text, "-");
        add_exponential(text, size);
        return;
    }
    number = find_shortest(size, &places);
    if (places <= 17)
        add_decimal(text, value < 0, number / ten[places], number % ten[places], places);
    else /* 17 digits and more places: the whole part is 0 */
        add_decimal(text, value < 0, 0, number, places);
}

/* More digits than this cannot move the rounding, except by being there at all: the longest
 * exact middle between two doubles has 768. */
enum { DIGITS_READ = 780 };

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* digits * 10^power, correctly rounded. The text has no point, and the locale is the C one. */
static double read_slowly(char *digits, size_t count, int64_t power)
{
    locale_t plain = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    double value;

    assert(plain);
    if (power > 400)
        power = 400; /* beyond all doubles whatever the digits */
    if (power < -2000)
        power = -2000;
    snprintf(digits + count, 16, "e%d", (int)power);
    value = strtod_l(digits, NULL, plain);
    freelocale(plain);
    return value;
}

size_t rab_number_read(const char *text, size_t length, double *value)
{
    char digits[DIGITS_READ + 24];
    size_t at = 0, count = 0, seen;
    uint64_t mantissa = 0;
    int64_t power = 0, written = 0;
    bool negative = false, sticky = false, point = false, any = false;
    double result;

    if (at < length && (text[at] == '+' || text[at] == '-'))
        negative = text[at++] == '-';
    for (; at < length; at++) {
        char c = text[at];
        if (c == '.' && !point) {
            point = true;
            continue;
        }
        if (!is_digit(c))
            break;
        any = true;
        if (point)
            power--;
        if (count == 0 && c == '0')
            continue;
        if (count < DIGITS_READ) {
            digits[count++] = c;
            if (count <= 19)
                mantissa = mantissa * 10 + (uint64_t)(c - '0');
        } else {
            sticky = sticky || c != '0';
            power++;
        }
    }
    if (!any)
        return 0;
    seen = at;
    if (at < length && (text[at] == 'e' || text[at] == 'E')) {
        bool down = false;
        at++;
        if (at < length && (text[at] == '+' || text[at] == '-'))
            down = text[at++] == '-';
        for (; at < length && is_digit(text[at]); at++) {
            if (written < INT64_MAX / 100)
                written = written * 10 + (text[at] - '0');
            seen = at + 1;
        }
        power += down ? -written : written;
    }

    if (count == 0) {
        result = 0;
    } else if (count <= 19 && mantissa <= (uint64_t)1 << 53 && power >= -EXACT_TEN &&
               power <= EXACT_TEN) {
        /* Both are exact, so the one rounding is the right one. */
        result = power < 0 ? (double)mantissa / double_ten[-power]
                           : (double)mantissa * double_ten[power];
    } else {
        if (sticky)
            digits[count++] = '1', power--;
        result = read_slowly(digits, count, power);
    }
    *value = negative ? -result : result;
    return seen;
}
