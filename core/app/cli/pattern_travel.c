/* dropwise pattern export, pattern import */
#include "app/cli/pattern.h"

#include "dropwise/mix_json.h"

#include <stdlib.h>
#include <string.h>

/* ---- export -------------------------------------------------------------------------------------------- */

static dw_status load(const cli_args *args, json_t **out, dw_error *err) {
  dw_book *book = NULL;
  dw_shelf *shelf = NULL;
  dw_pattern pattern;
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_pattern_find(book, args->word[1], &pattern, err);
  if (status == DW_OK) status = dw_book_shelf(book, &shelf, NULL, err);
  if (status == DW_OK)
    status = dw_pattern_export(book, &pattern, shelf, cli_has(args, "--bottles"), out, err);
  dw_shelf_free(shelf);
  return cli_book_done(book, status, err);
}

dw_status cli_pattern_export(const cli_args *args, dw_error *err) {
  json_t *json = NULL;
  dw_status status = load(args, &json, err);
  if (status != DW_OK) return status;
  if (args->n_words == 2 || strcmp(args->word[2], "-") == 0) return cli_print_json(json, err);
  char *bytes = dw_json_write(json, JSON_INDENT(1) | JSON_REAL_PRECISION(10));
  status = bytes ? cli_export_file(args, args->word[2], bytes, strlen(bytes), err)
                 : dw_fail_memory(err, "the pattern's file");
  free(bytes);
  json_decref(json);
  return status;
}

/* ---- import -------------------------------------------------------------------------------------------- */

/* What the pattern's next cups are on the shelf here. */
typedef struct solved {
  dw_pattern pattern;
  dw_pattern_arrived arrived;
  dw_batch_advice *advice;
  dw_shelf *shelf;
} solved;

static json_t *layer_json(const solved *s, size_t i) {
  const dw_next_cup *next = &s->advice->next[i];
  return json_pack("{s:s, s:o, s:o, s:o, s:o, s:s}", "name", s->advice->request.layer[i].name, "target",
                   dw_json_lab(s->advice->request.layer[i].target), "recipe",
                   next->known ? dw_json_drops(&next->add, s->shelf) : json_null(), "volume_floz",
                   next->known ? dw_json_round(next->volume_floz, 2) : json_null(), "predicted_de00",
                   next->known ? dw_json_round(next->predicted_de00, 2) : json_null(), "words", next->words);
}

static json_t *solved_json(const solved *s) {
  json_t *layers = json_array();
  for (size_t i = 0; s->advice && i < s->advice->request.n; i++)
    layers = dw_json_and(layers, layer_json(s, i));
  return json_pack("{s:s, s:o, s:s, s:I, s:o}", "pattern", s->pattern.name, "layers", layers, "bottles",
                   s->arrived.bottles, "chips", (json_int_t)s->arrived.chips, "warnings",
                   dw_json_notes(&s->arrived.notes));
}

static void layer_text(const solved *s, size_t i, const dw_style *style, dw_text *out) {
  const dw_layer *layer = &s->advice->request.layer[i];
  const dw_next_cup *next = &s->advice->next[i];
  dw_text_add(out, "  %-12s ", layer->name);
  dw_text_swatch(layer->target, style, out);
  if (!next->known) {
    dw_text_add(out, " no recipe with the bottles here\n");
    return;
  }
  dw_text_swatch(next->predicted, style, out);
  dw_text_add(out, " %.1f from its target with %s in ", next->predicted_de00, next->recipe);
  dw_text_volume(next->volume_floz, style->units, out);
  dw_text_add(out, "\n");
}

static void solved_text(const solved *s, const dw_style *style, dw_text *out) {
  dw_text_add(out, "%s is in the book. With the bottles here:\n", s->pattern.name);
  for (size_t i = 0; s->advice && i < s->advice->request.n; i++) layer_text(s, i, style, out);
  if (*s->arrived.bottles)
    dw_text_add(out,
                "Bottles that came along: %s, with %zu chips; dropwise bottle fit makes spectra of them.\n",
                s->arrived.bottles, s->arrived.chips);
  dw_text_notes(&s->arrived.notes, "", out);
}

/* Within the transaction that took it in. */
static dw_status take_in(const cli_args *args, dw_book *book, const json_t *root, solved *s, dw_error *err) {
  const dw_pattern_import how = {args->word[1], cli_value(args, "--as"), cli_has(args, "--bottles")};
  dw_plugins plugins;
  dw_status status = cli_find_plugins(args, &plugins, err);
  if (status == DW_OK) status = dw_book_shelf(book, &s->shelf, NULL, err);
  if (status == DW_OK) status = dw_pattern_import_json(book, root, s->shelf, &how, &s->arrived, err);
  if (status == DW_OK) status = dw_pattern_get(book, s->arrived.pattern, &s->pattern, err);
  if (status == DW_OK) status = dw_batch_advise_next(book, &s->pattern, &plugins, s->shelf, &s->advice, err);
  return status;
}

dw_status cli_pattern_import(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  json_t *root = NULL;
  dw_text text = {0};
  solved *s = calloc(1, sizeof *s);
  dw_status status = s ? dw_json_load(cli_input(args->word[1]), DW_PATTERN_FILE_MAX_BYTES, &root, err)
                       : dw_fail_memory(err, "the pattern");
  if (status == DW_OK) status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = take_in(args, book, root, s, err);
  status = cli_book_keep(args, "The pattern was kept", book, status, err);
  if (status == DW_OK) {
    solved_text(s, &args->style, &text);
    status = cli_say(args, solved_json(s), &text, err);
  }
  if (s) {
    dw_batch_advice_free(s->advice);
    dw_shelf_free(s->shelf);
  }
  free(s);
  json_decref(root);
  return status;
}
