/* Photographs and drawings that other Debian packages carry: pictures with neither a card nor a bait in them.
 * What is not installed is skipped; nothing of it is part of this project. */
#ifndef DROPWISE_TESTS_PHOTOGRAPHS_H
#define DROPWISE_TESTS_PHOTOGRAPHS_H

#include <glob.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

/* Package, folder: textures, people, things, printed pages, maps and the sky. */
static const char *const photograph_folders[][2] = {
    {"python3-skimage", "/usr/lib/python3/dist-packages/skimage/data"},
    {"python-matplotlib-data", "/usr/share/matplotlib/mpl-data/sample_data"},
    {"python3-imageio", "/usr/lib/python3/dist-packages/imageio/resources/images"},
    {"python3-sklearn", "/usr/lib/python3/dist-packages/sklearn/datasets/images"},
    {"mate-backgrounds", "/usr/share/backgrounds/mate/nature"},
    {"mate-backgrounds", "/usr/share/backgrounds/mate/desktop"},
    {"mate-backgrounds", "/usr/share/backgrounds/mate/abstract"},
    {"propaganda-debian", "/usr/share/wallpapers"},
    {"xplanet-images", "/usr/share/xplanet/images"},
    {"opencv-doc", "/usr/share/doc/opencv-doc/examples/data"},
    {"opencv-doc", "/usr/share/doc/opencv-doc/examples/text"},
    {"opencv-doc", "/usr/share/doc/opencv-doc/examples/hfs/data"},
    {"opencv-doc", "/usr/share/doc/opencv-doc/examples/ximgproc"},
    {"opencv-doc", "/usr/share/doc/opencv-doc/examples/alphamat/input_images"},
};
enum { PHOTOGRAPH_FOLDERS = sizeof photograph_folders / sizeof *photograph_folders };

/* Left out: a damaged file, and plain long bodies laid on a plain board, which is what a bait looks like. */
static inline bool photograph_wanted(const char *path) {
  static const char *const but[] = {"/truncated.jpg", "/pca_test1.jpg", "/detect_blob.png"};
  for (size_t i = 0; i < sizeof but / sizeof *but; i++)
    if (strstr(path, but[i])) return false;
  return true;
}

/* The pictures of one folder; root  "" or a folder that packages were unpacked to.  globfree the result. */
static inline void photographs_in(const char *root, const char *folder, glob_t *out) {
  static const char *const kinds[] = {"*.jpg", "*.JPG", "*.jpeg", "*.png"};
  char pattern[1024];
  memset(out, 0, sizeof *out);
  for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
    snprintf(pattern, sizeof pattern, "%s%s/%s", root, folder, kinds[i]);
    (void)glob(pattern, i ? GLOB_APPEND : 0, NULL, out);
  }
}

#endif
