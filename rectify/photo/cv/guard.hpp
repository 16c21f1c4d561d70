// The net under every call of OpenCV.
#ifndef FLATWRIGHT_CV_GUARD_HPP
#define FLATWRIGHT_CV_GUARD_HPP

#include <cstdio>
#include <cstdlib>
#include <exception>
#include <new>

#include <opencv2/core.hpp>

#include "shim.h"

inline cv::Mat &mat(fw_mat m) { return *static_cast<cv::Mat *>(m); }

inline int keep_quiet(int, const char *, const char *, const char *, int, void *) { return 0; }

inline void fail(fw_failure *out, const char *why)
{
	out->failed = 1;
	std::snprintf(out->message, sizeof out->message, "%s", why);
}

// Runs f and puts whatever it throws into out.
template <class F> void guarded(fw_failure *out, F f)
{
	try {
		// OpenCV prints what it throws unless told otherwise.
		static const bool quiet = (cv::redirectError(keep_quiet), true);
		(void)quiet;
		f();
	} catch (const cv::Exception &e) {
		fail(out, e.err.empty() ? e.what() : e.err.c_str());
	} catch (const std::bad_alloc &) {
		fail(out, "not enough memory");
	} catch (const std::exception &e) {
		fail(out, e.what());
	} catch (...) {
		fail(out, "unknown failure");
	}
}

// Runs f(dst) and makes sure that the result lies in the caller's memory:
// OpenCV allocates anew where size or type do not fit.
template <class F> void into(fw_mat dst, fw_failure *out, F f)
{
	guarded(out, [&] {
		cv::Mat &d = mat(dst);
		const unsigned char *before = d.data;
		f(d);
		if (d.data != before)
			CV_Error(cv::Error::StsUnmatchedSizes, "the result does not fit its picture");
	});
}

// Memory for n items that Go frees.
template <class T> T *allocate(size_t n)
{
	T *p = static_cast<T *>(std::malloc((n ? n : 1) * sizeof(T)));
	if (!p)
		throw std::bad_alloc();
	return p;
}

#endif
