/* drizzle: a little of each cup side by side on a white table, and what it says of the bait to come. */
#include "app/cli/drizzle.h"
#include "app/cli/args_recipe.h"
#include "dropwise/report_drizzle.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const cli_option options[] = {
    {"--pattern", "NAME", "whose cups they are, in the pattern's order: the back's drop first"},
    {"--batch", "NAME", "of which batch of the pattern; default the last one"},
    {"--cup", "[NAME:]DROPS",
     "without a pattern: what a cup holds, as in orange=12,brown=4 or with a name back:orange=12,brown=4; "
     "once a cup, in "
     "the order of the drops"},
    {"--volume", "VOLUME",
     "clear base in each such cup, as in 4floz or 120ml; default the book's setting, else 4 fl oz"},
    CLI_ORDER_OPTION,
    CLI_SLAB_GIVEN_OPTIONS,
    CLI_GIVEN_LIGHT_OPTIONS,
    CLI_SHELF_OPTION,
    {NULL, NULL, NULL},
};

typedef struct job {
  dw_pattern pattern;
  dw_marks light;  /* the card or gray that is marked */
  dw_shelf *shelf; /* owned */
  dw_drop_cup cup[DW_DRIZZLE_MAX];
  const char *name[DW_DRIZZLE_MAX];
  char own_name[DW_DRIZZLE_MAX][DW_ID_ROOM]; /* of cups that are given */
  size_t n;                                  /* cups; 0: as many as drops are found, nothing known of them */
  dw_drizzle drizzle;
  dw_drops_judged judged;
} job;

/* ---- what is in the cups ------------------------------------------------------------------------------------------- */

static dw_status cups_of_book(const cli_args *args, job *j, const dw_slab *said, dw_error *err) {
  dw_book *book = NULL;
  dw_batch batch;
  dw_book_shelf_info info;
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_pattern_find(book, cli_value(args, "--pattern"), &j->pattern, err);
  if (status == DW_OK && j->pattern.n > DW_DRIZZLE_MAX)
    status = dw_fail(err, DW_BAD_INPUT, "\"%s\" has %zu layers, and at most %d drops can be read at once.",
                     j->pattern.name, j->pattern.n, DW_DRIZZLE_MAX);
  if (status == DW_OK) status = cli_reading_batch(args, book, &j->pattern, &batch, err);
  if (status == DW_OK) status = dw_book_shelf(book, &j->shelf, &info, err);
  if (status == DW_OK) status = dw_book_shelf_hold(book, j->shelf, err);
  if (status == DW_OK) status = dw_drop_cups_load(book, &j->pattern, batch.id, j->shelf, said, j->cup, err);
  for (size_t i = 0; status == DW_OK && i < j->pattern.n; i++) j->name[j->n++] = j->pattern.layer[i].name;
  dw_book_close(book);
  return status;
}

static dw_status cups_given(const cli_args *args, job *j, const dw_slab *said, dw_error *err) {
  const char *text;
  double volume;
  dw_status status = cli_shelf(args, &j->shelf, err);
  if (status == DW_OK)
    status = cli_volume(args, "--volume", 0.01, 1000, args->settings.volume_floz, &volume, err);
  for (size_t at = 0; status == DW_OK && (text = cli_next(args, "--cup", &at));) {
    dw_cup cup = {.volume_floz = volume};
    if (j->n == DW_DRIZZLE_MAX)
      return dw_fail(err, DW_USAGE, "At most %d drops can be read at once.", DW_DRIZZLE_MAX);
    dw_drop_cup *to = &j->cup[j->n];
    cli_layer_name(&text, "cup", j->n, j->own_name[j->n]);
    status = cli_recipe(args, text, j->shelf, &cup.drops, err);
    if (status != DW_OK) return status;
    dw_cup_loadings(&cup, &to->loadings);
    to->known = true;
    to->bait = dw_slab_said(said, NULL);
    j->name[j->n] = j->own_name[j->n];
    j->n++;
  }
  return status;
}

/* ---- the command ---------------------------------------------------------------------------------------------------- */

static dw_status check(const cli_args *args, dw_error *err) {
  dw_status status = cli_words(args, 1, 1, "a photo of the drops", err);
  if (status != DW_OK) return status;
  if (cli_has(args, "--pattern") && cli_has(args, "--cup"))
    return dw_fail(err, DW_USAGE, "The cups are the pattern's or those of --cup: give one of the two.");
  if (cli_has(args, "--batch") && !cli_has(args, "--pattern"))
    return dw_fail(err, DW_USAGE, "--batch is a batch of a pattern: give --pattern too.");
  return DW_OK;
}

static dw_status read_drops(const cli_args *args, job *j, dw_error *err) {
  const char *order = cli_value(args, "--order");
  dw_drizzle_wish wish = {.card_set = cli_card_set(args), .light = &j->light};
  if (order && !j->n)
    return dw_fail(err, DW_USAGE, "--order is of cups: say which, with --pattern or --cup.");
  dw_status status = cli_light(args, 0, 1, &j->light, err);
  if (status == DW_OK && j->n) status = dw_drizzle_order(order, j->name, j->n, &wish, err);
  if (status == DW_OK) status = dw_drizzle_read(args->word[0], &wish, &j->drizzle, err);
  if (status == DW_OK && j->n) dw_drizzle_arrange(j->name, j->n, &j->drizzle);
  return status == DW_OK && j->n ? dw_drops_judge(&j->drizzle, j->shelf, j->cup, &j->judged, err) : status;
}

static dw_status run(const cli_args *args, dw_error *err) {
  dw_text text = {0};
  dw_slab said;
  job *j = calloc(1, sizeof *j);
  dw_status status = j ? check(args, err) : dw_fail_memory(err, "the drops");
  if (status == DW_OK) status = cli_slab_given(args, &said, err);
  if (status == DW_OK && cli_has(args, "--pattern")) status = cups_of_book(args, j, &said, err);
  if (status == DW_OK && cli_has(args, "--cup")) status = cups_given(args, j, &said, err);
  if (status == DW_OK) status = read_drops(args, j, err);
  if (status == DW_OK) {
    const dw_drops_judged *judged = j->n ? &j->judged : NULL;
    dw_text_drizzle(&j->drizzle, judged, &args->style, &text);
    status = cli_say(args, dw_json_drizzle(&j->drizzle, judged), &text, err);
  }
  if (j) dw_shelf_free(j->shelf);
  free(j);
  return status;
}

const cli_command cli_drizzle = {
    .name = "drizzle",
    .summary = "read drops of each cup side by side on a white table, and what they say of the bait",
    .usage = "PHOTO [--pattern NAME [--batch NAME] | --cup DROPS...] [--order NAME,NAME,...]",
    .about = "A little of each cup on a white plate or table, the drops side by side in the pattern's order, "
             "the back first, "
             "from the\n"
             "left or from the top, a card beside them, one photo. Nothing is marked. A film is thinner than "
             "a bait: what is in "
             "the cup\n"
             "and what its bottles' chips tell carry its color to the bait's thickness, with a doubt, or it "
             "is said that this "
             "can't be told.\n"
             "dropwise pour PATTERN --drizzle PHOTO keeps it as the cups' measured colors.",
    .example = "dropwise drizzle drops.jpg --pattern \"creek crawfish\" --batch 7",
    .options = options,
    .run = run,
    .settings = true,
};

/* ---- kept by pour ----------------------------------------------------------------------------------------------------- */

struct cli_drizzled {
  dw_read_photo photo;
  dw_marks light;
  dw_drizzle drizzle;
  dw_drops_judged judged;
};

/* The marks beside --photo are of that photo. */
static dw_status wish_from(const cli_args *args, cli_drizzled *d, dw_drizzle_wish *out, dw_error *err) {
  *out = (dw_drizzle_wish){.card_set = cli_card_set(args)};
  if (cli_has(args, "--photo")) return DW_OK;
  out->light = &d->light;
  return cli_light(args, 0, 1, &d->light, err);
}

dw_status cli_drizzled_read(const cli_args *args, const char *pattern, cli_drizzled **out, dw_error *err) {
  dw_book *book = NULL;
  dw_pattern found;
  dw_drizzle_wish wish;
  if (!cli_has(args, "--drizzle"))
    return cli_has(args, "--order") ? dw_fail(err, DW_USAGE, "--order is of drops: give --drizzle PHOTO.")
                                    : DW_OK;
  cli_drizzled *d = *out = calloc(1, sizeof *d);
  dw_status status = d ? cli_book_read(args, &book, err) : dw_fail_memory(err, "the drops");
  if (status == DW_OK) status = dw_pattern_find(book, pattern, &found, err);
  dw_book_close(book);
  if (status == DW_OK) status = wish_from(args, d, &wish, err);
  if (status == DW_OK)
    status = dw_drizzle_of_pattern(cli_value(args, "--drizzle"), &wish, &found, cli_value(args, "--order"),
                                   &d->drizzle, &d->photo, err);
  return status;
}

dw_status cli_drizzled_keep(const cli_args *args, dw_book *book, const dw_pattern *pattern, int64_t batch,
                            const dw_shelf *shelf, const dw_slab *slab, cli_drizzled *d, dw_error *err) {
  dw_drop_cup cup[DW_PATTERN_LAYERS_MAX];
  if (!d) return DW_OK;
  dw_status status = dw_drop_cups_load(book, pattern, batch, shelf, slab, cup, err);
  if (status == DW_OK) status = dw_drops_judge(&d->drizzle, shelf, cup, &d->judged, err);
  d->photo.reading = d->drizzle.reading;
  if (status == DW_OK) status = dw_drops_keepable(&d->judged, cli_has(args, "--order"), &d->photo, err);
  return status == DW_OK
             ? dw_keep_readings(book, pattern, batch, &d->photo, shelf, slab, DW_BAIT_DRIZZLED, err)
             : status;
}

void cli_drizzled_say(const cli_drizzled *d, dw_text *out) {
  if (!d) return;
  dw_text_add(out, "Drizzled: %zu of %zu drops tell their bait's color\n", d->judged.told, d->judged.n);
  for (size_t i = 0; i < d->judged.n; i++)
    dw_text_add(out, "  %s: %s\n", d->drizzle.reading.layer[i].name, d->judged.drop[i].words);
  if (d->judged.swapped) dw_text_add(out, "! %s\n", d->judged.swap_words);
}

json_t *cli_drizzled_json(const cli_drizzled *d, json_t *all) {
  return d ? dw_json_with(all, "drizzle", dw_json_drizzle(&d->drizzle, &d->judged)) : all;
}

void cli_drizzled_free(cli_drizzled *d) {
  if (d) dw_read_photo_free(&d->photo);
  free(d);
}
