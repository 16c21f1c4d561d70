#include <vector>

#include <opencv2/calib3d.hpp>
#include <opencv2/imgproc.hpp>

#include "guard.hpp"

void fw_find_chessboard(fw_mat src, int columns, int rows, float *corners, int *found, fw_failure *out)
{
	guarded(out, [&] {
		std::vector<cv::Point2f> points;
		bool seen = cv::findChessboardCornersSB(mat(src), cv::Size(columns, rows), points,
			cv::CALIB_CB_EXHAUSTIVE | cv::CALIB_CB_ACCURACY);
		*found = seen && points.size() == (size_t)columns * (size_t)rows;
		if (!*found)
			return;
		for (const auto &p : points) {
			*corners++ = p.x;
			*corners++ = p.y;
		}
	});
}

void fw_refine_corners(fw_mat src, float *points, int n, int half, fw_failure *out)
{
	guarded(out, [&] {
		cv::Mat list(n, 1, CV_32FC2, points);
		cv::TermCriteria until(cv::TermCriteria::COUNT | cv::TermCriteria::EPS, 40, 1e-3);
		cv::cornerSubPix(mat(src), list, cv::Size(half, half), cv::Size(-1, -1), until);
	});
}

static int calibration_flags(int flags)
{
	return (flags & FW_FIX_K3 ? cv::CALIB_FIX_K3 : 0) | (flags & FW_NO_TANGENTIAL ? cv::CALIB_ZERO_TANGENT_DIST : 0) |
		(flags & FW_SQUARE_PIXELS ? cv::CALIB_FIX_ASPECT_RATIO : 0) | (flags & FW_FIX_CENTRE ? cv::CALIB_FIX_PRINCIPAL_POINT : 0);
}

static void copy_pose(const cv::Mat &rotation, const cv::Mat &translation, double *to)
{
	cv::Mat r(3, 3, CV_64F, to), t(3, 1, CV_64F, to + 9);
	cv::Rodrigues(rotation, r);
	translation.reshape(1, 3).copyTo(t);
}

void fw_calibrate(const float *target, const float *seen, const int32_t *counts, int views,
	int w, int h, int flags, double *camera, double *per_view, fw_failure *out)
{
	guarded(out, [&] {
		std::vector<std::vector<cv::Point3f>> targets((size_t)views);
		std::vector<std::vector<cv::Point2f>> images((size_t)views);
		for (size_t i = 0; i < targets.size(); i++)
			for (int j = 0; j < counts[i]; j++, target += 2, seen += 2) {
				targets[i].emplace_back(target[0], target[1], 0.f);
				images[i].emplace_back(seen[0], seen[1]);
			}
		cv::Mat k = cv::Mat::eye(3, 3, CV_64F), terms, in_error, out_error, view_error;
		std::vector<cv::Mat> rotations, translations;
		double rms = cv::calibrateCamera(targets, images, cv::Size(w, h), k, terms, rotations, translations,
			in_error, out_error, view_error, calibration_flags(flags),
			cv::TermCriteria(cv::TermCriteria::COUNT | cv::TermCriteria::EPS, 200, 1e-12));
		const double *b = terms.ptr<double>();
		const double all[] = {k.at<double>(0, 0), k.at<double>(1, 1), k.at<double>(0, 2), k.at<double>(1, 2),
			b[0], b[1], b[2], b[3], b[4], rms};
		std::copy(all, all + 10, camera);
		for (int i = 0; i < views; i++, per_view += 13) {
			per_view[0] = view_error.at<double>(i);
			copy_pose(rotations[(size_t)i], translations[(size_t)i], per_view + 1);
		}
	});
}

void fw_undistort_points(const double *camera, double *points, int n, fw_failure *out)
{
	guarded(out, [&] {
		cv::Matx33d k(camera[0], 0, camera[2], 0, camera[1], camera[3], 0, 0, 1);
		cv::Mat terms(1, 5, CV_64F, const_cast<double *>(camera + 4)), list(n, 1, CV_64FC2, points), moved;
		cv::undistortPoints(list, moved, k, terms, cv::noArray(), cv::noArray(),
			cv::TermCriteria(cv::TermCriteria::COUNT | cv::TermCriteria::EPS, 500, 1e-12));
		moved.copyTo(list);
	});
}
