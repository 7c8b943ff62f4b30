/* turn: one bait photographed from two or three sides, and how far its color travels. */
#include "app/cli/book.h"
#include "dropwise/report_turn.h"

#include <stdlib.h>

static const cli_option options[] = {
    CLI_MARK_OPTIONS,
    {"--layers", "N",
     "how many layers the bait has, 1 to 4; default the fewest that one of its photos shows"},
    CLI_BACK_OPTION,
    {"--pattern", "NAME", "whose layers they are"},
    {"--against", "FILE",
     "what turn --json printed of the target's bait, or another batch's: the two are compared"},
    {NULL, NULL, NULL},
};

static dw_status say(const cli_args *args, const dw_turn *turn, dw_error *err) {
  dw_text text = {0};
  const char *other = cli_value(args, "--against");
  dw_travel_against *against = other ? malloc((turn->n + 1) * sizeof *against) : NULL;
  dw_status status = other && !against ? dw_fail_memory(err, "the travel") : DW_OK;
  if (status == DW_OK && other) status = dw_turn_against(turn, cli_input(other), against, err);
  if (status == DW_OK) {
    dw_text_turn(turn, against, &args->style, &text);
    status = cli_say(args, dw_json_turn(turn, against), &text, err);
  }
  free(against);
  return status;
}

static dw_status run(const cli_args *args, dw_error *err) {
  dw_pattern pattern = {0};
  dw_find_wish wish;
  dw_marks *marks = NULL;
  dw_turn *turn = malloc(sizeof *turn);
  const char *name = cli_value(args, "--pattern");
  dw_status status = turn ? DW_OK : dw_fail_memory(err, "the readings");
  if (status == DW_OK) status = cli_words(args, 1, DW_TURN_PHOTOS_MAX, "photos of one bait", err);
  if (status == DW_OK && name) status = cli_find_pattern(args, name, &pattern, err);
  if (status == DW_OK && pattern.swirl)
    status = dw_fail(err, DW_USAGE, "\"%s\" is a swirl: turn reads layers, which a swirl has none of.", pattern.name);
  if (status == DW_OK) status = cli_find_wish(args, pattern.n ? &pattern : NULL, &wish, err);
  if (status == DW_OK) status = cli_marks_all(args, &marks, err);
  if (status == DW_OK) status = dw_turn_read(args->word, args->n_words, marks, &wish, turn, err);
  if (status == DW_OK) status = say(args, turn, err);
  free(marks);
  free(turn);
  return status;
}

const cli_command cli_turn = {
    .name = "turn",
    .summary = "how far a pearl's color travels, from two or three photos of one bait turned in the light",
    .usage = "PHOTO PHOTO [PHOTO] [--layers N] [--marks FILE...] [--against FILE]",
    .about = "One bait and the card on a board, under one lamp: a photo with the lamp nearly mirrored in the "
             "bait, one "
             "with\n"
             "the board turned until the lamp shines from far aside, and one between if you like. The camera "
             "stays.\n"
             "A plain bait, too, looks lighter or glossier from one side; a layer is said to travel only "
             "where light, "
             "gloss\n"
             "and the photos' own doubt would make as much once in a hundred times. One photo alone gives no "
             "verdict.",
    .example = "dropwise turn near.jpg aside.jpg",
    .options = options,
    .run = run,
};
