/* Card, baits, layers and blends of many photos: find, and read where no layer is marked. */
#include "app/cli/find_strips.h"
#include "dropwise/report_found.h"

#include <stdlib.h>

typedef struct search {
  const cli_args *args;
  dw_pattern pattern; /* n 0: none is named */
  dw_find_wish wish;  /* borrows from it */
} search;

static dw_status report(const search *s, const dw_found *found, cli_photo_result *out, dw_error *err) {
  if (!s->args->json) {
    dw_text_found(found, &s->wish, &s->args->style, &out->text);
    if (dw_bait_backs_open(&found->baits)) cli_back_hint(&out->text);
    return out->text.failed ? dw_fail_memory(err, "the report") : DW_OK;
  }
  out->json = dw_json_found(found, &s->wish);
  return out->json ? DW_OK : dw_fail_memory(err, "the JSON result");
}

static dw_status find_one(void *context, size_t i, cli_photo_result *out, dw_error *err) {
  const search *s = context;
  dw_find_wish wish = s->wish;
  dw_arena *arena = dw_arena_new(0);
  dw_found *found = calloc(1, sizeof *found);
  dw_marks *light = malloc(sizeof *light);
  dw_status status = arena && found && light ? DW_OK : dw_fail_memory(err, "the baits");
  wish.light = light;
  if (status == DW_OK) status = cli_marks(s->args, i, s->args->n_words, light, err);
  if (status == DW_OK) status = dw_find_read(s->args->word[i], &wish, arena, found, err);
  if (status == DW_OK) status = report(s, found, out, err);
  if (status == DW_OK) status = cli_find_files(s->args, &wish, found, arena, err);
  free(light);
  free(found);
  dw_arena_free(arena);
  return cli_name_photo(s->args->word[i], status, err);
}

dw_status cli_find_all(const cli_args *args, dw_error *err) {
  search s = {.args = args};
  const char *pattern = cli_value(args, "--pattern");
  dw_status status = pattern ? cli_find_pattern(args, pattern, &s.pattern, err) : DW_OK;
  if (status == DW_OK && s.pattern.swirl) return cli_find_swirl(args, err);
  if (status == DW_OK) status = cli_find_wish(args, s.pattern.n ? &s.pattern : NULL, &s.wish, err);
  if (status == DW_OK) status = cli_find_files_check(args, err);
  if (status == DW_OK) status = cli_marks_check(args, err);
  return status == DW_OK ? cli_report_photos(args, find_one, &s, err) : status;
}
