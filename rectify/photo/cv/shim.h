// OpenCV under try/catch: every exception comes back in a fw_failure.
// Pictures are matrices that wrap memory of the caller; those written to must
// have the right size and type already.
#ifndef FLATWRIGHT_CV_SHIM_H
#define FLATWRIGHT_CV_SHIM_H

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef void *fw_mat;

typedef struct {
	int failed;
	char message[512];
} fw_failure;

enum { FW_INTER_LINEAR, FW_INTER_CUBIC, FW_INTER_AREA };
enum { FW_FIX_K3 = 1, FW_NO_TANGENTIAL = 2, FW_SQUARE_PIXELS = 4, FW_FIX_CENTRE = 8 };

typedef struct { int left, top, width, height, area; double x, y; } fw_region;
typedef struct { fw_region *items; int count; } fw_regions;
typedef struct { int32_t x, y; } fw_point;
typedef struct { int length, parent; } fw_contour;
typedef struct { fw_contour *items; int count; fw_point *points; size_t point_count; } fw_contours;
typedef struct { unsigned char *data; size_t length; } fw_bytes;

void fw_free(void *p);
void fw_set_threads(int n, fw_failure *out);
int fw_threads(void);

void fw_gaussian_blur(fw_mat src, fw_mat dst, double sigma, fw_failure *out);
void fw_box_blur(fw_mat src, fw_mat dst, int w, int h, fw_failure *out);
void fw_median_blur(fw_mat src, fw_mat dst, int size, fw_failure *out);
void fw_sobel(fw_mat src, fw_mat dst, int dx, int dy, int size, fw_failure *out);
void fw_scharr(fw_mat src, fw_mat dst, int dx, int dy, fw_failure *out);
void fw_canny(fw_mat src, fw_mat dst, double low, double high, fw_failure *out);
void fw_resize(fw_mat src, fw_mat dst, int interpolation, fw_failure *out);
void fw_warp_perspective(fw_mat src, fw_mat dst, const double *to_src, int interpolation, double fill, fw_failure *out);
void fw_remap(fw_mat src, fw_mat dst, fw_mat x, fw_mat y, int interpolation, double fill, fw_failure *out);
void fw_morph(fw_mat src, fw_mat dst, int op, int shape, int w, int h, fw_failure *out);
void fw_threshold(fw_mat src, fw_mat dst, double level, int otsu, double *chosen, fw_failure *out);
void fw_adaptive_threshold(fw_mat src, fw_mat dst, int gaussian, int side, double offset, fw_failure *out);
void fw_in_range(fw_mat src, fw_mat dst, const unsigned char *low, const unsigned char *high, fw_failure *out);
void fw_distance_transform(fw_mat src, fw_mat dst, fw_failure *out);
void fw_to_lab(fw_mat src, fw_mat dst, fw_failure *out);
void fw_grab_cut(fw_mat src, fw_mat mask, int iterations, uint64_t seed, fw_failure *out);
void fw_fill_polygons(fw_mat dst, const int32_t *points, const int32_t *lengths, int n, fw_failure *out);

// What these return is the caller's to free, also after a failure.
void fw_components(fw_mat src, fw_mat labels, int connectivity, fw_regions *list, fw_failure *out);
void fw_find_contours(fw_mat src, int nesting, fw_contours *list, fw_failure *out);
void fw_encode(fw_mat src, int quality, fw_bytes *file, fw_failure *out);

void fw_kmeans(const float *points, int n, int dims, int k, int attempts, uint64_t seed,
	int32_t *labels, float *centres, double *compactness, fw_failure *out);

void fw_find_chessboard(fw_mat src, int columns, int rows, float *corners, int *found, fw_failure *out);
void fw_refine_corners(fw_mat src, float *points, int n, int half, fw_failure *out);

// camera: fx fy cx cy k1 k2 p1 p2 k3 rms; per_view: rms, R (9), t (3).
void fw_calibrate(const float *target, const float *seen, const int32_t *counts, int views,
	int w, int h, int flags, double *camera, double *per_view, fw_failure *out);
// camera: fx fy cx cy k1 k2 p1 p2 k3; points are moved to normalised ones.
void fw_undistort_points(const double *camera, double *points, int n, fw_failure *out);

#ifdef __cplusplus
}
#endif
#endif
