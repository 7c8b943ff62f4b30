/* What a plugin's child sends back: a sound frame with some of its bytes changed (fuzz_patch). */
#include "fuzz.h"

#include "advise/ask.h"
#include "advise/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static dw_shelf *shelf;
static dw_advice_request request;
static dw__case *question;
static dw_plugin_entry_info entry = {.id = "nearest"};
static dw__asked sound;

static void add_layer(const char *name, const char *drops, dw_lab target) {
  dw_layer *layer = &request.layer[request.n++];
  *layer =
      (dw_layer){.target = target, .target_see_through = -1, .cup = {.volume_floz = 4, .capacity_floz = 5}};
  dw_copy_text(layer->name, sizeof layer->name, name);
  promise(dw_recipe_parse(drops, shelf, &layer->cup.drops, NULL) == DW_OK, "drops of the starter shelf");
}

static void make_sound(void) {
  dw__frame *frame = &sound.frame;
  sound.entry = &entry;
  sound.c = question;
  sound.job.end = DW_END_ANSWERED;
  frame->first = frame->last = DW__FRAME_MARK;
  dw_copy_text(frame->report.id, sizeof frame->report.id, entry.id);
  dw_copy_text(frame->report.title, sizeof frame->report.title, "Nearest");
  dw_copy_text(frame->report.version, sizeof frame->report.version, "1.0");
  frame->returned = DW_PLUGIN_OK;
  frame->n = 2;
  for (uint32_t i = 0; i < DW_PLUGIN_PROPOSALS_MAX; i++) {
    dw_proposal *p = &frame->proposal[i];
    *p = (dw_proposal){.layer = i % 2, .n_adds = 1, .predicted = {40, 10, 20}};
    p->add[0] = (dw_addition){.bottle = i % 3, .drops = 2};
    dw_copy_text(p->words, sizeof p->words, "Two drops.");
  }
}

static void prepare(void) {
  dw_error err;
  question = calloc(1, sizeof *question);
  promise(question && dw_shelf_starter(&shelf, &err) == DW_OK, "memory");
  request = (dw_advice_request){.shelf = shelf, .slab = {10, DW_BACKING_GRAY}, .rules = dw_rules_default()};
  add_layer("back", "orange=6,brown=2", (dw_lab){31, 5, 9});
  add_layer("belly", "", (dw_lab){67, 7, 20});
  promise(dw__case_make(&request, question, &err) == DW_OK, "a sound request");
  make_sound();
}

static void promise_advice(const dw_advice *advice) {
  dw_lab lab = advice->predicted.lab;
  promise(advice->layer < request.n && dw_utf8_plain(advice->words), "advice is for a layer, in plain words");
  promise(isfinite(lab.L) && isfinite(lab.a) && isfinite(lab.b), "a prediction is a color");
  for (size_t i = 0; i < advice->add.n; i++)
    promise(advice->add.part[i].bottle < shelf->n && advice->add.part[i].amount > 0, "drops of a bottle");
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n) {
  static dw__asked asked;
  static dw_advice advice;
  char why[160], words[256];
  if (!question) prepare();
  asked = sound;
  fuzz_patch(&asked.frame, sizeof asked.frame, bytes, n);
  if (dw__report_sound(&asked.frame.report)) {
    dw__report_words(&asked.frame.report, "plugin.so", words, sizeof words);
    promise(strlen(words) > 10 || asked.frame.report.verdict == DW__PLUGIN_FINE,
            "a refused plugin is told why");
  }
  if (!dw__frame_check(&asked, why, sizeof why)) return 0;
  promise(asked.frame.n <= DW_PLUGIN_PROPOSALS_MAX, "proposals fit");
  for (uint32_t i = 0; i < asked.frame.n; i++)
    if (dw__proposal_check(question, &asked.frame.proposal[i], &advice, why, sizeof why))
      promise_advice(&advice);
    else
      promise(why[0] != '\0', "a refused proposal says why");
  return 0;
}
