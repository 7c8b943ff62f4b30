/* A chip of the book, for scripts and the page. */
#include "dropwise/mix_json.h"
#include "dropwise/report.h"

static json_t *over_json(double backing) {
  const char *name = dw_backing_name(backing);
  return name ? json_string(name) : dw_json_round(backing, 4);
}

json_t *dw_json_chip(const dw_chip_kept *kept, const dw_shelf *shelf) {
  char recipe[DW_NOTE_TEXT], words[160];
  const dw_chip *chip = &kept->chip;
  dw_recipe_format(&chip->recipe, shelf, recipe, sizeof recipe);
  dw_chip_words(chip, shelf, words, sizeof words);
  return json_pack("{s:I, s:s, s:s, s:o, s:o, s:o, s:o, s:b, s:o, s:s}", "id", (json_int_t)kept->id, "words",
                   words, "recipe", recipe, "loadings", dw_json_drops(&chip->recipe, shelf), "thickness_mm",
                   dw_json_round(chip->thickness_mm, 3), "over", over_json(chip->backing), "lab",
                   dw_json_lab(chip->lab), "clipped", chip->clipped, "photo",
                   *kept->photo ? json_string(kept->photo) : json_null(), "added", kept->added);
}
