#include "marks.h"

#include <math.h>
#include <stdio.h>

static double round_tenth(double v) {
  return floor(v * 10 + 0.5) / 10;
}

static void place_poly(mark *m, const scene *s, const bait *b, const double center[2], const double half[2]) {
  static const double corner[MARK_POINTS][2] = {{-1, -0.55}, {-0.1, -1}, {0.9, -0.75},
                                                {1, 0.6},    {0.1, 1},   {-0.95, 0.7}};
  for (int i = 0; i < MARK_POINTS; i++) {
    double frame[2] = {center[0] + half[0] * corner[i][0], center[1] + half[1] * corner[i][1]}, x_mm, y_mm;
    bait_from_frame(b, frame, &x_mm, &y_mm);
    view_pixel(&s->view, x_mm, y_mm, &m->xy[2 * i], &m->xy[2 * i + 1]);
    m->xy[2 * i] = round_tenth(m->xy[2 * i]);
    m->xy[2 * i + 1] = round_tenth(m->xy[2 * i + 1]);
  }
}

mark *mark_add(marks *list, const scene *s, int bait_index, const char *name, mark_shape shape,
               const double center[2], const double half[2]) {
  const bait *b = &s->baits[bait_index];
  mark *m = &list->mark[list->n++];
  *m = (mark){.shape = shape};
  snprintf(m->name, sizeof m->name, "%s", name);
  double x_mm, y_mm, x, y, x2, y2;
  bait_from_frame(b, center, &x_mm, &y_mm);
  view_pixel(&s->view, x_mm, y_mm, &x, &y);
  view_pixel(&s->view, x_mm + 1, y_mm, &x2, &y2);
  double scale = hypot(x2 - x, y2 - y);
  if (shape == MARK_POLY) place_poly(m, s, b, center, half);
  double half_w = floor(half[0] * scale + 0.5), half_h = floor(half[1] * scale + 0.5);
  if (shape == MARK_ELLIPSE) {
    const double e[4] = {floor(x + 0.5), floor(y + 0.5), half_w, half_h};
    for (int i = 0; i < 4; i++) m->xy[i] = e[i];
  } else if (shape == MARK_RECT) {
    const double r[4] = {floor(x + 0.5) - half_w, floor(y + 0.5) - half_h, 2 * half_w, 2 * half_h};
    for (int i = 0; i < 4; i++) m->xy[i] = r[i];
  }
  return m;
}

static int inside_poly(const mark *m, double x, double y) {
  int odd = 0;
  for (int i = 0, j = MARK_POINTS - 1; i < MARK_POINTS; j = i++) {
    const double *p = &m->xy[2 * i], *q = &m->xy[2 * j];
    if ((p[1] > y) != (q[1] > y) && x < p[0] + (y - p[1]) / (q[1] - p[1]) * (q[0] - p[0])) odd = !odd;
  }
  return odd;
}

static int holds(const mark *m, double x, double y) {
  if (m->shape == MARK_POLY) return inside_poly(m, x, y);
  if (m->shape == MARK_RECT)
    return x >= m->xy[0] && y >= m->xy[1] && x < m->xy[0] + m->xy[2] && y < m->xy[1] + m->xy[3];
  double u = (x - m->xy[0]) / m->xy[2], v = (y - m->xy[1]) / m->xy[3];
  return u * u + v * v <= 1;
}

void marks_gather(marks *list, int x, int y, const seen *what) {
  if (what->bait < 0) return;
  for (int i = 0; i < list->n; i++) {
    mark *m = &list->mark[i];
    if (!holds(m, x + 0.5, y + 0.5)) continue;
    xyz_color c = xyz_of(&what->plain);
    for (int k = 0; k < 3; k++) m->xyz[k] += c.v[k];
    m->pixels++;
    m->gloss += what->mirror > GLOSS_OVER;
    m->flake += what->flake > FLAKE_OVER;
  }
}

lab_color mark_lab(const mark *m) {
  xyz_color mean;
  for (int k = 0; k < 3; k++) mean.v[k] = m->xyz[k] / (double)m->pixels;
  return lab_of(mean);
}

static FILE *open_beside(const char *folder, const char *name, const char *kind) {
  char path[1024];
  snprintf(path, sizeof path, "%s/%s.%s.json", folder, name, kind);
  FILE *file = fopen(path, "w");
  if (!file) fprintf(stderr, "%s could not be written.\n", path);
  return file;
}

static void print_shape(FILE *file, const mark *m) {
  static const char *const form[] = {"rect:%g,%g,%gx%g", "ellipse:%g,%g,%gx%g"};
  if (m->shape != MARK_POLY) {
    fprintf(file, form[m->shape], m->xy[0], m->xy[1], m->xy[2], m->xy[3]);
    return;
  }
  for (int i = 0; i < MARK_POINTS; i++)
    fprintf(file, "%s%.1f,%.1f", i ? ";" : "poly:", m->xy[2 * i], m->xy[2 * i + 1]);
}

int marks_save(const char *folder, const char *name, const scene *s, const marks *list) {
  FILE *file = open_beside(folder, name, "marks");
  if (!file) return 1;
  static const int corner[4][2] = {{0, 0}, {0, 5}, {3, 5}, {3, 0}};
  fprintf(file, "{\n  \"photo\": \"%s.jpg\",\n  \"card\": {\"set\": \"grid24\", \"corners\": [", name);
  for (int i = 0; i < 4; i++) {
    double x, y;
    scene_patch(s, corner[i][0], corner[i][1], &x, &y);
    fprintf(file, "%s%.0f, %.0f", i ? ", " : "", x, y);
  }
  fprintf(file, "]},\n  \"layers\": [");
  for (int i = 0; i < list->n; i++) {
    const mark *m = &list->mark[i];
    fprintf(file, "%s\n    {\"name\": \"%s\", \"shape\": \"", i ? "," : "", m->name);
    print_shape(file, m);
    fputc('"', file);
    if (m->over)
      fprintf(file, ", \"recipe\": \"%s\", \"thickness_mm\": %g, \"over\": \"%s\"", m->recipe,
              m->thickness_mm, m->over);
    fputc('}', file);
  }
  fprintf(file, "\n  ]\n}\n");
  return fclose(file) != 0;
}

int truth_save(const char *folder, const char *name, const scene *s, const marks *list) {
  FILE *file = open_beside(folder, name, "truth");
  if (!file) return 1;
  fprintf(file, "{\n  \"photo\": \"%s.jpg\",\n  \"light\": \"%s\",\n  \"layers\": [", name,
          light_words(s->light));
  for (int i = 0; i < list->n; i++) {
    const mark *m = &list->mark[i];
    lab_color lab = mark_lab(m);
    fprintf(file, "%s\n    {\"name\": \"%s\", \"lab\": [%.2f, %.2f, %.2f], \"pixels\": %ld, ", i ? "," : "",
            m->name, lab.L, lab.a, lab.b, m->pixels);
    fprintf(file, "\"gloss\": %.3f, \"flake\": %.3f}", (double)m->gloss / (double)m->pixels,
            (double)m->flake / (double)m->pixels);
  }
  fprintf(file, "\n  ]\n}\n");
  return fclose(file) != 0;
}
