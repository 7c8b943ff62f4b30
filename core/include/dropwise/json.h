/* JSON that came from a person, and JSON that is given out. */
#ifndef DROPWISE_JSON_H
#define DROPWISE_JSON_H

#include "dropwise/base.h"
#include "dropwise/lab.h"

#include <jansson.h>

/* ---- text becomes JSON --------------------------------------------------------------------------------- */

/* An object or an array.
 * what  names the text in the sentence, "marks.json"
 * *out  a new reference, NULL on error
 * Errors DW_BAD_INPUT with the line that is not JSON, or names a key twice; DW_NO_MEMORY */
dw_status dw_json_parse(const char *text, size_t n, const char *what, json_t **out, dw_error *err);
/* A file that a person wrote.  Errors as dw_file_read and dw_json_parse */
dw_status dw_json_load(const char *path, size_t limit_bytes, json_t **out, dw_error *err);

/* ---- values of an object, each held to its range; what is wrong is DW_USAGE in one sentence -------------
 */

bool dw_json_absent(const json_t *value); /* NULL, or JSON's null */
/* fallback when the key is absent or null. */
dw_status dw_json_number_of(const json_t *object, const char *key, double min, double max, double fallback,
                            double *out, dw_error *err);
dw_status dw_json_whole_of(const json_t *object, const char *key, int64_t min, int64_t max, int64_t fallback,
                           int64_t *out, dw_error *err);
/* *out NULL when absent or null and not required; borrowed. */
dw_status dw_json_text_of(const json_t *object, const char *key, bool required, const char **out,
                          dw_error *err);
/* A photo's id: 64 hexadecimal digits. */
dw_status dw_json_sha_of(const json_t *object, const char *key, const char **out, dw_error *err);
/* [L, a, b]; key is what it is called in the sentence. */
dw_status dw_json_lab_of(const json_t *value, const char *key, dw_lab *out, dw_error *err);

/* ---- given out: a new reference, or NULL when out of memory ---------------------------------------------
 */

/* Any bytes as a JSON text: U+FFFD stands for each that is no UTF-8. For all text from outside (names of
 * files, titles in profiles and cards), which json_string would refuse. */
json_t *dw_json_text(const char *bytes);
/* The list with one item more, the object with one key more; takes the item's reference. NULL, with
 * everything freed, when any of them is NULL or memory is out, so that a whole chain needs one check, at its
 * end. */
json_t *dw_json_and(json_t *list, json_t *item);
json_t *dw_json_with(json_t *object, const char *key, json_t *value);
json_t *dw_json_lab(dw_lab lab); /* [L, a, b] to 2 decimals */
json_t *dw_json_round(double value, int decimals);
json_t *dw_json_notes(const dw_notes *notes);
/* As json_dumps with these flags, but NULL where any of it could not be written: jansson goes on behind a key for which
 * there was no room. Free the text. NULL json is fine. */
char *dw_json_write(const json_t *json, size_t flags);

#endif
