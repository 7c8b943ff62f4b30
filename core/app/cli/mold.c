#include "app/cli/book.h"
#include "dropwise/book_molds.h"
#include "dropwise/report_plan.h"

#include <stdlib.h>

static const cli_option options[] = {
    {"--cavities", "N", "add: how many baits it gives"},
    {"--bait-volume", "VOLUME", "add: of one bait, as in 0.3floz, 9ml or, with --density, 9g"},
    {"--runner-volume", "VOLUME", "add: runner and sprue, filled anew with every fill; default none"},
    {"--density", "G_PER_ML", "add: of the plastic, where a volume is given by weight"},
    {"--sprue", "SIDE",
     "add: where the sprue faces as the mold lies before you: toward, away, left or right; "
     "default toward"},
    {"--back", "SIDE", "add: on which side the baits' backs lie, across the sprue; default left, or away"},
    {"--filled", "VOLUME",
     "learn: plastic at hand before, in cups and injector, as in 250ml or, with --density, 240g"},
    {"--left", "VOLUME", "learn: plastic left after, runners that were cut off not counted"},
    {"--fills", "N", "learn: how often the mold was filled in between"},
    {"--baits", "N", "learn: how many baits that gave, instead of --fills"},
    {NULL, NULL, NULL},
};

/* ---- what is given ----------------------------------------------------------------------------------------
 */

static dw_status take_volume(const cli_args *args, const char *name, double *ml, dw_error *err) {
  double density;
  const char *text = cli_value(args, name);
  dw_status status = cli_number(args, "--density", 0.1, 10, 0, &density, err);
  return status == DW_OK && text ? dw_volume_parse(text, args->style.units, density, ml, err) : status;
}

static dw_status take_side(const cli_args *args, const char *name, dw_side fallback, dw_side *out,
                           dw_error *err) {
  const char *text = cli_value(args, name);
  *out = fallback;
  if (!text || dw_side_find(text, out)) return DW_OK;
  return dw_fail(err, DW_USAGE, "%s takes toward, away, left or right, not \"%.40s\".", name, text);
}

static dw_status take_mold(const cli_args *args, dw_mold *out, dw_error *err) {
  size_t cavities;
  if (!dw_copy_text(out->name, sizeof out->name, args->word[1]))
    return dw_fail(err, DW_USAGE, "A mold's name has at most %d bytes.", DW_ID_ROOM - 1);
  if (!cli_has(args, "--cavities") || !cli_has(args, "--bait-volume"))
    return dw_fail(err, DW_USAGE, "mold add needs --cavities and --bait-volume.");
  dw_status status = cli_whole(args, "--cavities", 1, DW_MOLD_CAVITIES_MAX, 1, &cavities, err);
  if (status == DW_OK) status = take_volume(args, "--bait-volume", &out->bait_ml, err);
  if (status == DW_OK) status = take_volume(args, "--runner-volume", &out->runner_ml, err);
  if (status == DW_OK) status = take_side(args, "--sprue", DW_SIDE_TOWARD, &out->sprue, err);
  if (status != DW_OK) return status;
  out->cavities = (int)cavities;
  return take_side(args, "--back", dw_mold_usual_back(out->sprue), &out->back, err);
}

/* ---- what is said -----------------------------------------------------------------------------------------
 */

static dw_status say_mold(const cli_args *args, const dw_mold *mold, dw_error *err) {
  static const char *const layers[] = {"back", "belly"};
  dw_text text = {0};
  dw_text_mold_line(mold, &args->style, &text);
  dw_text_mold(mold, layers, 2, &text);
  return cli_say(args, dw_json_mold(mold), &text, err);
}

/* ---- the verbs --------------------------------------------------------------------------------------------
 */

static dw_status run_add(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_mold mold = {0};
  dw_status status = take_mold(args, &mold, err);
  if (status == DW_OK) status = dw_mold_check(&mold, err);
  if (status == DW_OK) status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = dw_book_mold_set(book, &mold, err);
  status = cli_book_keep(args, "The mold was kept", book, status, err);
  return status == DW_OK ? say_mold(args, &mold, err) : status;
}

/* How often it was filled, from --fills or from whole fills of --baits. */
static dw_status take_fills(const cli_args *args, const dw_mold *mold, int *out, dw_error *err) {
  size_t fills, baits;
  if (cli_has(args, "--fills") == cli_has(args, "--baits"))
    return dw_fail(err, DW_USAGE, "mold learn needs --fills or --baits, one of the two.");
  dw_status status = cli_whole(args, "--fills", 1, DW_PLAN_FILLS_MAX, 1, &fills, err);
  if (status == DW_OK) status = cli_whole(args, "--baits", 1, DW_PLAN_FILLS_MAX, 1, &baits, err);
  if (status != DW_OK) return status;
  if (cli_has(args, "--baits") && baits % (size_t)mold->cavities != 0)
    return dw_fail(err, DW_USAGE, "%zu baits are no whole fills of %d cavities; give --fills.", baits,
                   mold->cavities);
  *out = (int)(cli_has(args, "--baits") ? baits / (size_t)mold->cavities : fills);
  return DW_OK;
}

static dw_status learn(const cli_args *args, dw_book *book, dw_mold *mold, dw_error *err) {
  dw_mold_record record = {0};
  dw_status status = dw_book_mold_find(book, args->word[1], mold, err);
  if (status == DW_OK) status = take_fills(args, mold, &record.fills, err);
  if (status == DW_OK) status = take_volume(args, "--filled", &record.filled_ml, err);
  if (status == DW_OK) status = take_volume(args, "--left", &record.left_ml, err);
  return status == DW_OK ? dw_book_mold_learn(book, args->word[1], &record, mold, err) : status;
}

static dw_status run_learn(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_mold mold;
  if (!cli_has(args, "--filled") || !cli_has(args, "--left"))
    return dw_fail(err, DW_USAGE,
                   "mold learn needs --filled and --left: what was at hand before, and after.");
  dw_status status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = learn(args, book, &mold, err);
  status = cli_book_keep(args, "What was left over was kept", book, status, err);
  return status == DW_OK ? say_mold(args, &mold, err) : status;
}

static dw_status run_list(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_mold *list = NULL;
  size_t n = 0;
  dw_text text = {0};
  json_t *array = json_array();
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_book_mold_list(book, &list, &n, err);
  for (size_t i = 0; i < n; i++) {
    array = dw_json_and(array, dw_json_mold(&list[i]));
    dw_text_mold_line(&list[i], &args->style, &text);
  }
  if (n == 0) dw_text_add(&text, "The book holds no mold yet; dropwise mold add makes one.\n");
  free(list);
  return cli_book_say(args, book, status, json_pack("{s:o}", "molds", array), &text, err);
}

static dw_status run_show(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_mold mold;
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_book_mold_find(book, args->word[1], &mold, err);
  status = cli_book_done(book, status, err);
  return status == DW_OK ? say_mold(args, &mold, err) : status;
}

static dw_status run_remove(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_text text = {0};
  dw_status status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = dw_book_mold_remove(book, args->word[1], err);
  status = cli_book_keep(args, "The mold was removed", book, status, err);
  if (status != DW_OK) return status;
  dw_text_add(&text, "Removed %s.\n", args->word[1]);
  return cli_say(args, json_pack("{s:o}", "removed", dw_json_text(args->word[1])), &text, err);
}

static const cli_verb verbs[] = {
    {"add", "NAME --cavities N --bait-volume V [--runner-volume V] [--sprue SIDE] [--back SIDE]", 1, 1,
     run_add},
    {"learn", "NAME --filled V --left V --fills N | --baits N", 1, 1, run_learn},
    {"list", "", 0, 0, run_list},
    {"show", "NAME", 1, 1, run_show},
    {"remove", "NAME", 1, 1, run_remove},
    {NULL, NULL, 0, 0, NULL},
};

static dw_status run(const cli_args *args, dw_error *err) {
  return cli_verb_run(args, verbs, err);
}

const cli_command cli_mold = {
    .name = "mold",
    .summary = "what a mold takes, and how it stands",
    .usage = "add NAME --cavities N --bait-volume V [--runner-volume V] [--sprue SIDE] [--back SIDE] |\n"
             "     learn NAME --filled V --left V --fills N | list | show NAME | remove NAME",
    .about = "Adding a mold that is there already puts the new values to it. From how it stands follows "
             "which cup goes\n"
             "into which chamber, so that the back ends up on the back; show draws it.\n"
             "learn takes what some fills left over: from then on the mold's volume is what all such pours "
             "together "
             "say. Stating\n"
             "cavities, bait or runner anew forgets them.",
    .example =
        "dropwise mold add craw --cavities 4 --bait-volume 9ml --runner-volume 6ml --sprue away --back left",
    .options = options,
    .run = run,
    .settings = true,
};
