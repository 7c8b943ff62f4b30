/* From a photo, or from numbers, to what to add: photo -> light -> regions -> Lab -> difference -> advice ->
 * report.  The main job of the program, in the order it happens: advise(). */
#include "app/cli/advise.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const cli_option options[] = {
    {"--target", "LAB", "the color aimed for"},
    {"--measured", "LAB", "the color the bait has now"},
    {"--uncertainty", "DE00", "doubt of --measured, CIEDE2000; default 0.5: one camera, one light"},
    {"--cup", "DROPS",
     "what is in the cup, as in orange=12,brown=4; for one layer of a pattern belly:white=3"},
    {"--volume", "VOLUME",
     "clear base in the cup, as in 4floz or 120ml (plain: fl oz, with --metric ml); default that of the "
     "layer's last cup, else the setting, else 4 fl oz"},
    {"--capacity", "VOLUME", "what the cup holds, base and drops together; default 5/4 of the volume"},
    {"--thickness", "MM",
     "of the plastic where it is looked at; default: as the pattern was looked at last, else 10"},
    {"--over", "BACKING",
     "black, white, gray, or a reflectance from 0 to 1; default: as the pattern was looked at last, else "
     "gray"},
    {"--pattern", "NAME", "advise all layers of a pattern of the book at once"},
    {"--layer", "NAME", "only this layer of the pattern; may be repeated"},
    {"--batch", "NAME", "the cups of this batch of the book, and what was measured of them"},
    {"--targets", "FILE", "take the pattern from this file instead"},
    {"--photo", "PHOTO",
     "read the layers from a photo: by the marks below; where they mark no layer, from the baits found in "
     "it"},
    CLI_MARK_OPTIONS,
    CLI_BACK_OPTION,
    {"--dull", "PERCENT",
     "make what is in the cup duller by so much of its chroma, its hue held; needs no target"},
    {"--see-through", "RATIO",
     "how much light comes through: 0 clear, 0.4 see-through, 0.65 cloudy, 1 solid"},
    {"--use", "BOTTLE", "use only this bottle; may be repeated"},
    {"--not", "BOTTLE", "never add this bottle; may be repeated"},
    {"--max-drops", "N",
     "most drops in a cup, those in it counted; default the book's setting, else 15 per fl oz"},
    {"--max-bottles", "N", "most different bottles in a cup; default the book's setting, else 4"},
    {"--step", "STEP",
     "drops, half (half drops) or syringe (0.1 ml); default the book's setting, else drops"},
    {"--plugin", "ID", "ask only this plugin; may be repeated"},
    CLI_SET_OPTION,
    CLI_SHELF_OPTION,
    {"--html", "FILE", "write a report as one HTML file"},
    {NULL, NULL, NULL},
};

static dw_status set_plugins(const cli_args *args, cli_advise_work *work, dw_error *err) {
  dw_advice_request *request = &work->question.request;
  size_t at = 0;
  const char *id;
  while ((id = cli_next(args, "--plugin", &at)) && request->n_only < DW_PLUGINS_MAX)
    work->only[request->n_only++] = id;
  request->only = request->n_only ? work->only : NULL;
  work->question.plugins = &work->plugins;
  return cli_find_plugins(args, &work->plugins, err);
}

/* What is asked: the layers, what they are aimed at, what is in their cups, and what may be added. */
static dw_status take_question(const cli_args *args, cli_advise_work *work, dw_error *err) {
  dw_status status = cli_words(args, 0, 0, "", err);
  if (status == DW_OK) status = cli_shelf(args, &work->shelf, err);
  if (status == DW_OK) status = cli_advise_layers(args, work, err);
  if (status == DW_OK) status = cli_advise_rules(args, work->shelf, &work->question.request.rules, err);
  return status == DW_OK ? set_plugins(args, work, err) : status;
}

/* ---- photo -> light -> regions -> Lab ------------------------------------------------------------------ */

/* Which layers a bait has: those of the book's pattern, also where one of them is asked about; else those
 * asked about. */
static dw_status find_wish(const cli_args *args, const cli_advise_work *work, dw_find_wish *out,
                           dw_error *err) {
  const dw_advice_request *request = &work->question.request;
  dw_status status = cli_find_wish(args, work->pattern.n ? &work->pattern : NULL, out, err);
  if (status != DW_OK || work->pattern.n) return status;
  if (request->n > DW_BAIT_LAYERS_MAX)
    return dw_fail(err, DW_BAD_INPUT, "At most %d layers can be found in a bait; mark them: --marks FILE.",
                   DW_BAIT_LAYERS_MAX);
  out->n = out->rules.layers = request->n;
  for (size_t i = 0; i < request->n; i++) {
    out->name[i] = request->layer[i].name;
    out->rules.target[i] = request->layer[i].no_target ? (dw_lab){NAN, NAN, NAN} : request->layer[i].target;
  }
  out->rules.n_target = request->n;
  return DW_OK;
}

/* The mean of the baits that the photo shows. */
static dw_status find_in_photo(const cli_args *args, cli_advise_work *work, dw_error *err) {
  const char *path = cli_value(args, "--photo");
  dw_find_wish wish;
  dw_status status = find_wish(args, work, &wish, err);
  wish.light = &work->marks;
  if (status == DW_OK) status = cli_photos_add(path, NULL, &wish, &work->found, err);
  if (status == DW_OK) status = dw_photos_join(work->found.photo, work->found.n, &work->reading, err);
  if (status == DW_OK && cli_has(args, "--html"))
    status = cli_preview(path, CLI_REPORT_SIDE, work->arena, &work->preview, err);
  return status;
}

static dw_status read_photo(const cli_args *args, cli_advise_work *work, dw_error *err) {
  const char *mark;
  bool searched;
  work->has_photo = true;
  dw_status status = cli_searched(args, &searched, err);
  if (status == DW_OK) status = cli_marks_from(args, cli_value(args, "--marks"), &work->marks, err);
  if (status == DW_OK && searched) return find_in_photo(args, work, err);
  for (size_t at = 0; status == DW_OK && (mark = cli_next(args, "--layer", &at));)
    if (strchr(mark, '=')) status = dw_marks_add_layer(&work->marks, mark, err);
  return status != DW_OK ? status
                         : dw_flow_read(cli_value(args, "--photo"), &work->marks, NULL,
                                        cli_has(args, "--html") ? CLI_REPORT_SIDE : 0, work->arena,
                                        &work->reading, &work->preview, err);
}

/* ---- report -------------------------------------------------------------------------------------------- */

static dw_status write_html(const cli_args *args, const cli_advise_work *work, dw_error *err) {
  dw_html_report report = {.title = "Advice for the cups",
                           .reading = work->has_photo ? &work->reading : NULL,
                           .preview = work->has_photo ? &work->preview : NULL,
                           .request = &work->advice->request,
                           .advice = work->advice->result,
                           .units = args->style.units};
  const char *pattern = cli_value(args, "--pattern");
  char title[160];
  if (pattern) {
    snprintf(title, sizeof title, "Advice for %.120s", pattern);
    report.title = title;
  }
  dw_text html = {0};
  dw_status status = dw_html_write(&report, &html, err);
  return cli_text_file(cli_value(args, "--html"), status, &html, err);
}

/* What was poured before, of the layers whose cups are to be filled. */
static void print_next(const cli_args *args, const dw_batch_advice *advice, dw_text *out) {
  bool any = false;
  for (size_t i = 0; i < advice->request.n; i++) {
    if (!advice->next[i].has_good) continue;
    dw_text_add(out, "%s\n", advice->request.layer[i].name);
    dw_text_next_cup(&advice->next[i], &args->style, out);
    any = true;
  }
  if (any) dw_text_add(out, "\nThe proposals, the first one first:\n\n");
}

static json_t *next_json(const dw_batch_advice *advice) {
  json_t *json = json_object();
  for (size_t i = 0; i < advice->request.n; i++)
    if (advice->next[i].has_good)
      json = dw_json_with(json, advice->request.layer[i].name, dw_json_next_cup(&advice->next[i]));
  return json;
}

static dw_status print_advice(const cli_args *args, const cli_advise_work *work, dw_error *err) {
  const dw_batch_advice *advice = work->advice;
  if (args->answer_is) return DW_OK;
  if (args->json) {
    json_t *root = dw_json_advice(&advice->request, advice->result);
    if (work->has_photo) root = dw_json_with(root, "reading", dw_json_reading(&work->reading));
    if (work->book) root = dw_json_with(root, "next_cups", next_json(advice));
    return cli_print_json(root, err);
  }
  dw_text text = {0};
  if (work->has_photo) {
    cli_photos_say(&work->found, &text);
    dw_text_reading(&work->reading, &args->style, &text);
    dw_text_add(&text, "\n");
  }
  print_next(args, advice, &text);
  dw_text_advice(&advice->request, advice->result, &args->style, &text);
  dw_text_caution_line(&text);
  return cli_print_text(&text, err);
}

/* ---- the main flow ------------------------------------------------------------------------------------- */

static dw_status advise(const cli_args *args, cli_advise_work *work, dw_error *err) {
  dw_advice_request *request = &work->question.request;
  dw_status status = take_question(args, work, err);
  if (status == DW_OK && cli_has(args, "--photo")) status = read_photo(args, work, err); /* to Lab */
  if (status == DW_OK && work->has_photo)
    status = dw_request_take_reading(&work->reading, request, err); /* Lab against target: the difference */
  if (status == DW_OK) status = dw_batch_advise(&work->question, &work->advice, err);
  if (status == DW_OK && cli_has(args, "--html")) status = write_html(args, work, err);
  return status == DW_OK ? print_advice(args, work, err) : status;
}

static dw_status run(const cli_args *args, dw_error *err) {
  cli_advise_work *work = calloc(1, sizeof *work);
  if (!work) return dw_fail_memory(err, "the advice");
  work->arena = dw_arena_new(0);
  dw_status status = work->arena ? advise(args, work, err) : dw_fail_memory(err, "the advice");
  cli_photos_free(&work->found);
  dw_batch_advice_free(work->advice);
  dw_book_close(work->book);
  dw_shelf_free(work->shelf);
  dw_arena_free(work->arena);
  free(work);
  return status;
}

const cli_command cli_advise = {
    .name = "advise",
    .summary = "what to add to a cup, or to all cups of a pattern",
    .usage = "--target LAB [--measured LAB] [--cup DROPS] | --cup DROPS --dull PERCENT | --pattern NAME "
             "[--photo PHOTO "
             "--marks FILE]",
    .about =
        "Only additions are proposed: nothing can be taken out of a cup. Without --cup a recipe for a "
        "fresh cup is\n"
        "given. The best proposal of all plugins stands first: the nearest or, of those that nobody can tell "
        "apart,\n"
        "the one with the fewest bottles and drops.",
    .example = "dropwise advise --target 45,22,30 --measured 52,30,44 --cup orange=12,brown=2 --volume 4",
    .options = options,
    .run = run,
    .settings = true,
};
