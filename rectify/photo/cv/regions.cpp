#include <vector>

#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "guard.hpp"

void fw_components(fw_mat src, fw_mat labels, int connectivity, fw_regions *list, fw_failure *out)
{
	into(labels, out, [&](cv::Mat &l) {
		cv::Mat stats, centres;
		int n = cv::connectedComponentsWithStats(mat(src), l, stats, centres, connectivity, CV_32S);
		list->items = allocate<fw_region>((size_t)n);
		list->count = n;
		for (int i = 0; i < n; i++) {
			const int *s = stats.ptr<int>(i);
			const double *c = centres.ptr<double>(i);
			list->items[i] = {s[cv::CC_STAT_LEFT], s[cv::CC_STAT_TOP], s[cv::CC_STAT_WIDTH],
				s[cv::CC_STAT_HEIGHT], s[cv::CC_STAT_AREA], c[0], c[1]};
		}
	});
}

void fw_find_contours(fw_mat src, int nesting, fw_contours *list, fw_failure *out)
{
	static const int modes[] = {cv::RETR_EXTERNAL, cv::RETR_CCOMP, cv::RETR_TREE};
	guarded(out, [&] {
		std::vector<std::vector<cv::Point>> contours;
		std::vector<cv::Vec4i> hierarchy;
		cv::findContours(mat(src), contours, hierarchy, modes[nesting], cv::CHAIN_APPROX_NONE);
		size_t total = 0;
		for (const auto &c : contours)
			total += c.size();
		list->items = allocate<fw_contour>(contours.size());
		list->points = allocate<fw_point>(total);
		fw_point *to = list->points;
		for (size_t i = 0; i < contours.size(); i++) {
			list->items[i] = {(int)contours[i].size(), hierarchy[i][3]};
			for (const auto &p : contours[i])
				*to++ = {p.x, p.y};
		}
		list->count = (int)contours.size();
		list->point_count = total;
	});
}

void fw_encode(fw_mat src, int quality, fw_bytes *file, fw_failure *out)
{
	guarded(out, [&] {
		cv::Mat picture = mat(src);
		if (picture.channels() == 3)
			cv::cvtColor(mat(src), picture = cv::Mat(), cv::COLOR_RGB2BGR);
		std::vector<unsigned char> bytes;
		std::vector<int> options;
		if (quality)
			options = {cv::IMWRITE_JPEG_QUALITY, quality};
		if (!cv::imencode(quality ? ".jpg" : ".png", picture, bytes, options))
			CV_Error(cv::Error::StsError, "the picture could not be encoded");
		file->data = allocate<unsigned char>(bytes.size());
		file->length = bytes.size();
		std::copy(bytes.begin(), bytes.end(), file->data);
	});
}

void fw_fill_polygons(fw_mat dst, const int32_t *points, const int32_t *lengths, int n, fw_failure *out)
{
	into(dst, out, [&](cv::Mat &d) {
		std::vector<std::vector<cv::Point>> polygons((size_t)n);
		for (int i = 0; i < n; i++)
			for (int j = 0; j < lengths[i]; j++, points += 2)
				polygons[(size_t)i].emplace_back(points[0], points[1]);
		cv::fillPoly(d, polygons, cv::Scalar(255));
	});
}

// A state of 0 would draw nothing but zeros.
static void seed_random(uint64_t seed) { cv::theRNG().state = seed ? seed : ~(uint64_t)0; }

void fw_kmeans(const float *points, int n, int dims, int k, int attempts, uint64_t seed,
	int32_t *labels, float *centres, double *compactness, fw_failure *out)
{
	guarded(out, [&] {
		cv::Mat data(n, dims, CV_32F, const_cast<float *>(points)), label, centre;
		seed_random(seed);
		cv::TermCriteria until(cv::TermCriteria::COUNT | cv::TermCriteria::EPS, 100, 1e-4);
		*compactness = cv::kmeans(data, k, label, until, attempts, cv::KMEANS_PP_CENTERS, centre);
		label.copyTo(cv::Mat(n, 1, CV_32S, labels));
		centre.copyTo(cv::Mat(k, dims, CV_32F, centres));
	});
}

void fw_grab_cut(fw_mat src, fw_mat mask, int iterations, uint64_t seed, fw_failure *out)
{
	into(mask, out, [&](cv::Mat &m) {
		cv::Mat ground, piece;
		seed_random(seed);
		cv::grabCut(mat(src), m, cv::Rect(), ground, piece, iterations, cv::GC_INIT_WITH_MASK);
	});
}
