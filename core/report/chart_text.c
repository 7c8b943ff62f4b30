/* A control chart in the terminal. */
#include "report/drift.h"

#include <math.h>
#include <string.h>

enum { ROWS = 9, COLUMNS = 64 };

static int row_of(double value, double top) {
  int row = (int)lround((1 - value / top) * (ROWS - 1));
  return row < 0 ? 0 : row >= ROWS ? ROWS - 1 : row;
}

static void draw_line(char grid[ROWS][COLUMNS], size_t width, double value, double top, char mark) {
  if (value <= 0 || value > top) return;
  memset(grid[row_of(value, top)], mark, width);
}

void dw_chart_text(const dw_drift_layer *layer, dw_text *out) {
  if (!layer->check) return;
  char grid[ROWS][COLUMNS];
  double top = dw__chart_top(layer);
  bool limits = dw__chart_has_limits(layer);
  size_t room = COLUMNS / 2, n = layer->history.n, shown = n < room ? n : room, first = n - shown,
         width = 2 * shown;
  memset(grid, ' ', sizeof grid);
  if (limits) {
    draw_line(grid, width, layer->result.de00.center, top, '.');
    draw_line(grid, width, layer->result.de00.upper, top, '-');
  }
  for (size_t i = 0; i < shown; i++) {
    const dw_batch_check *check = &layer->check[first + i];
    char mark = check->signal ? '#' : layer->history.color[first + i].good ? 'o' : '+';
    grid[row_of(check->de00_target, top)][2 * i] = mark;
  }
  for (size_t r = 0; r < ROWS; r++) {
    bool labeled = r % 4 == 0;
    if (labeled)
      dw_text_add(out, "  %5.1f |%.*s\n", top * (double)(ROWS - 1 - r) / (ROWS - 1), (int)width, grid[r]);
    else
      dw_text_add(out, "        |%.*s\n", (int)width, grid[r]);
  }
  dw_text_add(out, "        +%.*s\n", (int)width,
              "----------------------------------------------------------------");
  dw_text_add(out, "         CIEDE2000 to the target, newest right%s; o good batch, + other, # drift%s\n",
              first ? " (the oldest left out)" : "", limits ? "; . center, - upper limit" : "");
}
