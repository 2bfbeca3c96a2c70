/* output_content: the tokens of a page's content stream (ISO 32000-1, 7.2 and 7.8.2). */
#ifndef OUTPUT_CONTENT_H
#define OUTPUT_CONTENT_H

#include <glib.h>

typedef enum TokenKind { TOKEN_NUMBER, TOKEN_NAME, TOKEN_OPERATOR } TokenKind;

typedef struct Token {
    TokenKind kind;
    const char *start; /* a name with its slash */
    gsize length;
} Token;

typedef struct ContentScan {
    const char *at, *end;
} ContentScan;

/* The next token that is no string, array or dictionary: what is in those is passed over or,
 * in arrays and dictionaries, read as it comes.  FALSE at the end. */
gboolean content_next(ContentScan *scan, Token *token);
/* Of TOKEN_NUMBER; most are never asked for. */
double token_number(const Token *token);
gboolean token_is(const Token *token, const char *word);

#endif
