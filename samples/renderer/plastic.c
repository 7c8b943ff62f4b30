#include "plastic.h"

#include <math.h>
#include <stdio.h>

const char *const bottle_name[BOTTLES] = {"orange", "yellow", "red",   "brown",
                                          "blue",   "green",  "black", "white"};

/* Surface: how much light turns back where it enters (k1) and where it leaves (k2); Saunderson 1942. */
static const double enter_loss = 0.04, leave_loss = 0.57;

/* Absorption of one drop per fl oz, per mm: invented. */
static double absorption(bottle which, double nm) {
  switch (which) {
  case ORANGE:
    return 0.030 * falling(nm, 547, 13) + 0.0004;
  case YELLOW:
    return 0.027 * falling(nm, 503, 11) + 0.0002;
  case RED:
    return 0.031 * falling(nm, 592, 12) - 0.008 * bell(nm, 440, 35) + 0.0005;
  case BROWN:
    return 0.034 * exp(-(nm - 380) / 120) + 0.0035 * falling(nm, 640, 25);
  case BLUE:
    return 0.034 * bell(nm, 612, 46) + 0.016 * bell(nm, 690, 45) + 0.004 * falling(nm, 405, 12) + 0.0006;
  case GREEN:
    return 0.026 * bell(nm, 648, 40) + 0.021 * falling(nm, 462, 15) + 0.0008;
  case BLACK:
    return 0.056 * (1 - 0.12 * (nm - 550) / 180);
  default:
    return 0.0003 + 0.012 * falling(nm, 392, 8);
  }
}

static double scattering(bottle which, double nm) {
  static const double strength[BOTTLES] = {.0085, .0100, .0070, .0036, .0032, .0042, .0009, .0520};
  static const double steep[BOTTLES] = {1.0, 0.9, 0.8, 1.6, 1.8, 1.4, 1.0, 0.5};
  return strength[which] * pow(nm / 550.0, -steep[which]);
}

/* The clear base is faintly yellow and faintly hazy. */
plastic plastic_mix(const recipe *r) {
  plastic p;
  for (int i = 0; i < BANDS; i++) {
    double nm = band_nm(i);
    p.k.v[i] = 0.0011 + 0.0045 * exp(-(nm - 380) / 28);
    p.s.v[i] = 0.0080 * pow(nm / 550.0, -1.5);
    for (int b = 0; b < BOTTLES; b++) {
      p.k.v[i] += r->drops[b] * absorption((bottle)b, nm);
      p.s.v[i] += r->drops[b] * scattering((bottle)b, nm);
    }
  }
  return p;
}

plastic plastic_blend(const plastic layer[3], const double weight[3]) {
  plastic p;
  for (int i = 0; i < BANDS; i++) {
    p.k.v[i] = p.s.v[i] = 0;
    for (int l = 0; l < 3; l++) {
      p.k.v[i] += weight[l] * layer[l].k.v[i];
      p.s.v[i] += weight[l] * layer[l].s.v[i];
    }
  }
  return p;
}

/* Kubelka-Munk through the slab's own reflectance and transmittance (Kubelka 1948), then the surface. */
static double seen_band(double k, double s, double thickness_mm, double backing) {
  double a = 1 + k / s, b = sqrt(a * a - 1);
  double t = fmin(b * s * thickness_mm, 40);
  double e = exp(t), sh = 0.5 * (e - 1 / e), ch = 0.5 * (e + 1 / e), under = a * sh + b * ch;
  double own = sh / under, through = b / under;
  double inside = own + through * through * backing / (1 - own * backing);
  return (1 - enter_loss) * (1 - leave_loss) * inside / (1 - leave_loss * inside);
}

spectrum plastic_seen(const plastic *p, double thickness_mm, const spectrum *backing) {
  spectrum out;
  for (int i = 0; i < BANDS; i++)
    out.v[i] = seen_band(p->k.v[i], p->s.v[i], fmax(thickness_mm, 1e-3), backing->v[i]);
  return out;
}

void recipe_text(const recipe *r, char *out, int room) {
  int used = 0;
  out[0] = '\0';
  for (int b = 0; b < BOTTLES && used < room; b++)
    if (r->drops[b] > 0)
      used += snprintf(out + used, (unsigned)(room - used), "%s%s=%g", used ? ";" : "", bottle_name[b],
                       r->drops[b]);
}
