/* output_content: see content.h. */
#include "output/content.h"

#include <string.h>

/* Of white space and of delimiters (ISO 32000-1, 7.2.2), which end a word. */
enum { WHITE = 1, DELIMITER };
static const guint8 kinds[256] = {
    ['\0'] = WHITE, ['\t'] = WHITE, ['\n'] = WHITE, ['\f'] = WHITE, ['\r'] = WHITE, [' '] = WHITE,
    ['('] = DELIMITER, [')'] = DELIMITER, ['<'] = DELIMITER, ['>'] = DELIMITER, ['['] = DELIMITER,
    [']'] = DELIMITER, ['{'] = DELIMITER, ['}'] = DELIMITER, ['/'] = DELIMITER, ['%'] = DELIMITER,
};

static guint8 kind_of(char c) { return kinds[(guint8)c]; }

/* Strings in brackets may hold anything, brackets in pairs too. */
static void skip_string(ContentScan *scan)
{
    int depth = 0;
    for (; scan->at < scan->end; scan->at++) {
        if (*scan->at == '\\') {
            scan->at++;
        } else if (*scan->at == '(') {
            depth++;
        } else if (*scan->at == ')' && --depth == 0) {
            scan->at++;
            break;
        }
    }
    scan->at = MIN(scan->at, scan->end); /* the escape may have been the last byte */
}

/* "<" opens digits, "<<" a dictionary, whose keys and values are read as they come. */
static void skip_digits(ContentScan *scan)
{
    if (scan->at + 1 < scan->end && scan->at[1] == '<') {
        scan->at += 2;
        return;
    }
    const char *close = memchr(scan->at, '>', (gsize)(scan->end - scan->at));
    scan->at = close ? close + 1 : scan->end;
}

/* No strtod: a number of a page has no exponent and always a point. */
double token_number(const Token *token)
{
    const char *at = token->start;
    double value = 0, place = 0, sign = 1;
    for (gsize i = 0; i < token->length; i++) {
        if (at[i] == '-')
            sign = -1;
        else if (at[i] == '.')
            place = 1;
        else if (g_ascii_isdigit(at[i]))
            value = place > 0 ? value + (at[i] - '0') * (place /= 10) : value * 10 + (at[i] - '0');
    }
    return sign * value;
}

static void read_word(ContentScan *scan, Token *token)
{
    token->start = scan->at++;
    while (scan->at < scan->end && kind_of(*scan->at) == 0)
        scan->at++;
    token->length = (gsize)(scan->at - token->start);
    char first = *token->start;
    gboolean number = g_ascii_isdigit(first) || first == '.' || first == '-' || first == '+';
    token->kind = first == '/' ? TOKEN_NAME : number ? TOKEN_NUMBER : TOKEN_OPERATOR;
}

gboolean content_next(ContentScan *scan, Token *token)
{
    while (scan->at < scan->end) {
        char c = *scan->at;
        if (c == '(') {
            skip_string(scan);
        } else if (c == '<') {
            skip_digits(scan);
        } else if (c == '/' || kind_of(c) == 0) {
            read_word(scan, token);
            return TRUE;
        } else {
            scan->at++;
        }
    }
    return FALSE;
}

gboolean token_is(const Token *token, const char *word)
{
    return token->length == strlen(word) && memcmp(token->start, word, token->length) == 0;
}
