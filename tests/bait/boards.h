/* Boards with baits, rendered with their truth: masks, borders, layers. The plastic, the lights and the
 * camera are those of the sample photos (samples/renderer), which share no color code with core; shapes,
 * boards and what lies on them vary here with the seed. Lengths in mm, angles in radians. */
#ifndef TESTS_BAIT_BOARDS_H
#define TESTS_BAIT_BOARDS_H

#include "camera.h"
#include "noise.h"
#include "plastic.h"

#include <stdbool.h>

static inline double between(chance *dice, double low, double high) {
  return low + (high - low) * chance_unit(dice);
}

#define STRIP_BLACK .04
#define STRIP_WHITE .886 /* as core takes a white backing to be */
enum { BOARD_BAITS_MAX = 24, LIMBS_MAX = 12, BODY_RADII = 11, LAYERS_MAX = 4, BARS_MAX = 8, CHIPS_MAX = 64 };
typedef enum board_color {
  BOARD_WHITE,
  BOARD_GRAY_LIGHT,
  BOARD_GRAY_DARK,
  BOARD_BLACK,
  BOARD_BLUE,
  BOARD_WOODEN,
  BOARD_GREEN,
  BOARD_COLORS,
  BOARD_MAT = BOARD_COLORS, /* a blue cutting mat with lines; board_make takes none */
  BOARD_COLORS_ALL
} board_color;
extern const char *const board_color_words[BOARD_COLORS_ALL];

typedef enum body_kind {
  BODY_STICK,
  BODY_WORM,
  BODY_SWIM,
  BODY_MINNOW,
  BODY_CRAW,
  BODY_FROG,
  BODY_KINDS,
  BODY_THIN = BODY_KINDS, /* board_make takes none from here on */
  BODY_RIBBED,
  BODY_GRUB,
  BODY_TOAD,
  BODY_CREATURE,
  BODY_KINDS_ALL
} body_kind;
extern const char *const body_kind_words[BODY_KINDS_ALL];

/* How the weights change across a blend. */
typedef enum blend_form { BLEND_SMOOTH, BLEND_STRAIGHT, BLEND_TAILED, BLEND_STAIRS, BLEND_FORMS } blend_form;

/* A tapered arm in the body's own bent frame: s along it from the head, o across it to the belly. */
typedef struct limb {
  double s, o, angle, length, bow, radius[2], flat;
} limb;

typedef struct body {
  body_kind kind;
  double x, y, angle, length, bend, sway;
  double half[BODY_RADII]; /* half widths at equal steps from head to tail */
  double thickness;
  int limbs;
  limb limb[LIMBS_MAX];
  int layers;
  plastic layer[LAYERS_MAX];
  double border[LAYERS_MAX - 1],
      blend[LAYERS_MAX - 1]; /* of the body's height, 0 back to 1 belly; half widths */
  double wave, flake, gloss;
  bool flip; /* the back lies on the lower side */
  uint32_t seed;
  /* All that follows is 0 on the boards of board_make. */
  double slope[LAYERS_MAX - 1]; /* how far a border moves from head to tail, of the height */
  double lean[LAYERS_MAX - 1];  /* -1 to 1: the blend reaches farther to the belly's side, or the back's */
  blend_form form;
  bool optical;     /* colors of a blend mix as light does, not as plastic */
  double waver;     /* fine wavering of the borders, of the height */
  double rib[2];    /* how deep, as a share of the thickness, and mm from one to the next */
  double bumps;     /* the same of bumps */
  double round;     /* share of the light that its form takes or leaves; 0 stands for .34 */
  double streak[3]; /* of gloss: where across, how wide (both of the height), how bright */
  double speck;     /* size of a speck of flake against the usual one; 0 stands for 1 */
} body;

/* A drop of a cup: rounded, perhaps smeared, its rim thin. */
enum { DROPS_MAX = 6, DROP_WAVES = 3 };
typedef struct table_drop {
  double x, y, radius, thickness;    /* of its middle; mm */
  double smear[2];                   /* how many times longer than wide, and along which way */
  double wave[DROP_WAVES][2], power; /* of its outline: share and phase; how flat its top is, small is flat */
  double gloss;
  plastic of;
  uint32_t seed;
} table_drop;

typedef struct bar { /* runner or sprue */
  double x0, y0, x1, y1, radius;
  plastic of;
} bar;

typedef struct board {
  int width, height, n, bars, quality;
  double mm; /* of one pixel */
  double lean[2];
  board_color color;
  light_kind light;
  double slope[2], vignette, texture, shadow[4]; /* shadow: where to, how soft, how deep */
  double balance_share, exposure, electrons;
  bool
      strips; /* a black and a white one instead of the board; edge: where it crosses the middle, its slope */
  double edge[2];
  int chips; /* squares on the strips */
  struct {
    double x, y, half;
    plastic of;
  } chip[CHIPS_MAX];
  int drops;
  table_drop drop[DROPS_MAX];
  bool has_card;
  double card[4]; /* center, angle, pitch */
  spectrum paint;
  body bait[BOARD_BAITS_MAX];
  bar bar[BARS_MAX];
  uint32_t seed;
  /* All that follows is 0 on the boards of board_make. */
  double blur, sharpen; /* of the camera, pixels and share; 0: as it has them */
  bool chroma_full;     /* JPEG without thinned color */
  double cast[5];       /* a shadow over a part: way, where, how soft, how deep; mm; and its color */
  double tint[2];       /* how much warmer the light is to one side */
  unsigned trouble;     /* of trouble: what was drawn on purpose */
  unsigned bait_trouble[BOARD_BAITS_MAX];
} board;

/* What a board or a bait of board_varied has to trouble the search. */
enum trouble {
  TROUBLE_NEAR = 1,     /* board and bait's edge about CIEDE2000 8 apart */
  TROUBLE_WIDE = 2,     /* a blend wider than .2 of the height, 10 to 90% */
  TROUBLE_PAIR = 4,     /* touches another bait, or hangs on it */
  TROUBLE_SLIM = 8,     /* lower than 24 pixels */
  TROUBLE_SURFACE = 16, /* ribs or bumps */
  TROUBLE_FLAKE = 32,
  TROUBLE_STREAK = 64,
  TROUBLE_SLOPE = 128,   /* borders slope from head to tail */
  TROUBLE_ROUND = 256,   /* strong shading */
  TROUBLE_LIGHT = 512,   /* a shadow over a part of the board, or light of two colors */
  TROUBLE_CAMERA = 1024, /* JPEG below 75, or strong noise */
  TROUBLE_LINES = 2048,  /* the board is a mat with lines */
  TROUBLE_HIDDEN = 4096, /* a layer that looks like its neighbors' blend, and blends widely */
  TROUBLE_KINDS = 13
};
extern const char *const trouble_words[TROUBLE_KINDS];

/* Everything about board number `seed` but its pixels. width  of the photo; 4 to 3
 * most_baits  0: as the seed says */
board board_make(uint32_t seed, int width, int most_baits);

/* The same, but drawn from far more: shapes, sizes of photos, blends, surfaces, boards, lights and cameras.
 * width is its own. Its pairs, near boards and wide blends are as frequent as a hard day has them. */
board board_varied(uint32_t seed);

/* Baits across the edge of a black and a white strip, their plastic letting light through. */
board strips_make(uint32_t seed, int width);
/* Y over black / Y over white of a layer by the mixing model: each Y the median over the body's middle part, as a
 * reading is the center of its pixels. */
double strips_ratio(const body *b, int layer);

#define CHIP_MM 3.0
/* A sheet of chips on both strips: n rows of recipes, each with up to CHIP_LOADINGS of them. */
enum { CHIP_LOADINGS = 5 };
typedef struct chip_line {
  int n;
  recipe of[CHIP_LOADINGS];
} chip_line;
board sheet_make(uint32_t seed, int width, const chip_line *lines, int n);

/* Drops of so many cups side by side on a white table, in the cups' order. */
typedef struct drizzle_cup {
  recipe meant, put; /* drops per fl oz; put: as it came out */
  double thickness;  /* of its drop */
} drizzle_cup;
board drizzle_make(uint32_t seed, int width, const drizzle_cup *cups, int n);
double drop_depth(const table_drop *d, double x, double y); /* mm; 0 beside it */

/* What is true of each pixel. */
typedef struct board_truth {
  uint8_t *bait;  /* 0 none, else index + 1; limbs included */
  uint8_t *layer; /* of a body's pixel: the layer it is most of, + 1; else 0 */
  float *share;   /* and how much */
  float *along;   /* 0 head to 1 tail, of a body's pixel; -1 elsewhere */
  float *across;  /* 0 back to 1 belly */
} board_truth;
/* rgb  width x height x 3. Nonzero when memory ran out; free what was given with board_truth_free. */
int board_render(const board *b, uint8_t *rgb, board_truth *truth);
void board_truth_free(board_truth *truth);
/* Rendered as a JPEG file.  Nonzero on failure. */
int board_save(const board *b, const char *path);
/* In a file of its own; path  its template, as of mkstemp */
int board_save_new(const board *b, char *path);
/* Where border k of a bait lies in the mean over its middle part. */
double body_border(const body *b, int k);
/* Corners of the grid of the card as photo pixels, in its order. */
void board_card_corners(const board *b, double xy[8]);

/* ---- body.c ---- */
typedef struct body_point {
  double inside; /* > 0 within the outline, about the distance to it */
  double body;   /* the same of the body without limbs */
  double thickness, along, across;
} body_point;
body_point body_at(const body *b, double x, double y);
void body_place(const body *b, double s, double o, double *x,
                double *y); /* from the bent frame to the board */
/* A kind with all its lengths. size 1 is usual */
body body_make(body_kind kind, double size, chance *dice);
/* Weight of each layer at a place of the body. */
void body_weights(const body *b, double along, double across, double weight[LAYERS_MAX]);

#endif
