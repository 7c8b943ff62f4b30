/* find: card, baits, layers and blends of photos in which no layer is marked. */
#include "app/cli/find_strips.h"

static const cli_option options[] = {
    CLI_GIVEN_LIGHT_OPTIONS,
    {"--layers", "N", "how many layers each bait has, 1 to 4; default as many as its photo shows"},
    CLI_BACK_OPTION,
    CLI_SCALE_OPTIONS,
    CLI_PICTURE_OPTIONS,
    {"--strips", NULL,
     "baits lie half over a black and half over a white strip: how much light each layer lets through"},
    {"--thickness", "MM", "with --strips: of the baits where they are read, stated with the result"},
    CLI_SWIRL_OPTION,
    {"--pattern", "NAME",
     "whose layers they are: how many, what they are called and, by their targets, which side is the back"},
    {"--html", "FILE", "write a report with the photo and what was found in it as one HTML file"},
    {"--save-marks", "FILE", "keep what was found as marks, to be corrected by hand"},
    {NULL, NULL, NULL},
};

/* What shows and keeps single baits is not there of strips. */
static dw_status run_strips(const cli_args *args, dw_error *err) {
  static const char *const none[] = {"--picture", "--svg", "--html", "--save-marks", "--jobs"};
  for (size_t i = 0; i < sizeof none / sizeof *none; i++)
    if (cli_has(args, none[i])) return dw_fail(err, DW_USAGE, "%s does not go with --strips.", none[i]);
  return cli_find_strips(args, err);
}

static dw_status run(const cli_args *args, dw_error *err) {
  dw_status status = cli_words(args, 1, CLI_WORDS_MAX, "a photo", err);
  if (status == DW_OK && (cli_has(args, "--strips") || cli_has(args, "--swirl")))
    status = cli_scale_refuse(args, err);
  if (status == DW_OK && cli_has(args, "--strips")) return run_strips(args, err);
  if (status == DW_OK && cli_has(args, "--swirl")) return cli_find_swirl(args, err);
  if (status == DW_OK && cli_has(args, "--thickness"))
    return dw_fail(err, DW_USAGE, "--thickness goes with --strips.");
  return status == DW_OK ? cli_find_all(args, err) : status;
}

const cli_command cli_find = {
    .name = "find",
    .summary = "find the card and every bait in photos, and read the baits' layers; nothing need be marked",
    .usage = "PHOTO... [--card X1,Y1,...,X4,Y4] [--card-set SET] [--layers N | --pattern NAME] "
             "[--back upper|lower] [--picture FILE]",
    .about =
        "Baits lie apart on a plain board whose color differs from theirs. Each is read from back to "
        "belly: its\n"
        "layers, what share of the height each has, its color, and how wide the blends are, in mm where the "
        "card's\n"
        "width (dropwise settings card-width 52) or the baits' height is known.\n"
        "A card or gray that is marked is taken as it is marked, and the baits are looked for in its light.\n"
        "A live animal, a fish held in hand or a bait over a pattern is read by marks: dropwise read.",
    .example = "dropwise find shot.jpg --layers 3",
    .options = options,
    .run = run,
    .settings = true,
};
