#include <opencv2/imgproc.hpp>

#include "guard.hpp"

static int interpolation_code(int i)
{
	return i == FW_INTER_AREA ? cv::INTER_AREA : i == FW_INTER_CUBIC ? cv::INTER_CUBIC : cv::INTER_LINEAR;
}

void fw_free(void *p) { std::free(p); }

void fw_set_threads(int n, fw_failure *out)
{
	guarded(out, [&] { cv::setNumThreads(n); });
}

int fw_threads(void)
{
	int n = 1;
	fw_failure ignored;
	guarded(&ignored, [&] { n = cv::getNumThreads(); });
	return n;
}

void fw_gaussian_blur(fw_mat src, fw_mat dst, double sigma, fw_failure *out)
{
	into(dst, out, [&](cv::Mat &d) { cv::GaussianBlur(mat(src), d, cv::Size(), sigma, sigma); });
}

void fw_box_blur(fw_mat src, fw_mat dst, int w, int h, fw_failure *out)
{
	into(dst, out, [&](cv::Mat &d) { cv::blur(mat(src), d, cv::Size(w, h)); });
}

void fw_median_blur(fw_mat src, fw_mat dst, int size, fw_failure *out)
{
	into(dst, out, [&](cv::Mat &d) { cv::medianBlur(mat(src), d, size); });
}

void fw_sobel(fw_mat src, fw_mat dst, int dx, int dy, int size, fw_failure *out)
{
	into(dst, out, [&](cv::Mat &d) { cv::Sobel(mat(src), d, CV_32F, dx, dy, size); });
}

void fw_scharr(fw_mat src, fw_mat dst, int dx, int dy, fw_failure *out)
{
	into(dst, out, [&](cv::Mat &d) { cv::Scharr(mat(src), d, CV_32F, dx, dy); });
}

void fw_canny(fw_mat src, fw_mat dst, double low, double high, fw_failure *out)
{
	into(dst, out, [&](cv::Mat &d) { cv::Canny(mat(src), d, low, high, 3, true); });
}

void fw_resize(fw_mat src, fw_mat dst, int interpolation, fw_failure *out)
{
	into(dst, out, [&](cv::Mat &d) { cv::resize(mat(src), d, d.size(), 0, 0, interpolation_code(interpolation)); });
}

void fw_warp_perspective(fw_mat src, fw_mat dst, const double *to_src, int interpolation, double fill, fw_failure *out)
{
	into(dst, out, [&](cv::Mat &d) {
		cv::Matx33d m(to_src);
		cv::warpPerspective(mat(src), d, m, d.size(), interpolation_code(interpolation) | cv::WARP_INVERSE_MAP,
			cv::BORDER_CONSTANT, cv::Scalar::all(fill));
	});
}

void fw_remap(fw_mat src, fw_mat dst, fw_mat x, fw_mat y, int interpolation, double fill, fw_failure *out)
{
	into(dst, out, [&](cv::Mat &d) {
		cv::remap(mat(src), d, mat(x), mat(y), interpolation_code(interpolation),
			cv::BORDER_CONSTANT, cv::Scalar::all(fill));
	});
}

void fw_morph(fw_mat src, fw_mat dst, int op, int shape, int w, int h, fw_failure *out)
{
	static const int ops[] = {cv::MORPH_ERODE, cv::MORPH_DILATE, cv::MORPH_OPEN, cv::MORPH_CLOSE,
		cv::MORPH_TOPHAT, cv::MORPH_BLACKHAT};
	static const int shapes[] = {cv::MORPH_RECT, cv::MORPH_ELLIPSE, cv::MORPH_CROSS};
	into(dst, out, [&](cv::Mat &d) {
		cv::morphologyEx(mat(src), d, ops[op], cv::getStructuringElement(shapes[shape], cv::Size(w, h)));
	});
}

void fw_threshold(fw_mat src, fw_mat dst, double level, int otsu, double *chosen, fw_failure *out)
{
	into(dst, out, [&](cv::Mat &d) {
		double used = cv::threshold(mat(src), d, level, 255, cv::THRESH_BINARY | (otsu ? cv::THRESH_OTSU : 0));
		if (chosen)
			*chosen = used;
	});
}

void fw_adaptive_threshold(fw_mat src, fw_mat dst, int gaussian, int side, double offset, fw_failure *out)
{
	into(dst, out, [&](cv::Mat &d) {
		cv::adaptiveThreshold(mat(src), d, 255, gaussian ? cv::ADAPTIVE_THRESH_GAUSSIAN_C : cv::ADAPTIVE_THRESH_MEAN_C,
			cv::THRESH_BINARY, side, offset);
	});
}

void fw_in_range(fw_mat src, fw_mat dst, const unsigned char *low, const unsigned char *high, fw_failure *out)
{
	into(dst, out, [&](cv::Mat &d) {
		cv::inRange(mat(src), cv::Scalar(low[0], low[1], low[2]), cv::Scalar(high[0], high[1], high[2]), d);
	});
}

void fw_distance_transform(fw_mat src, fw_mat dst, fw_failure *out)
{
	into(dst, out, [&](cv::Mat &d) { cv::distanceTransform(mat(src), d, cv::DIST_L2, cv::DIST_MASK_PRECISE); });
}

void fw_to_lab(fw_mat src, fw_mat dst, fw_failure *out)
{
	into(dst, out, [&](cv::Mat &d) { cv::cvtColor(mat(src), d, cv::COLOR_RGB2Lab); });
}
