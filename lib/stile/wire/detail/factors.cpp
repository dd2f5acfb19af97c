#include <stile/wire/detail/factors.hpp>

#include <algorithm>
#include <numeric>

#include <stile/base/detail/clones.hpp>
#include <stile/wire/detail/fours.hpp>

namespace stile::wire::detail {

namespace {

constexpr std::size_t block = 32;  // columns that are eliminated at a time; a whole number of eights

/// rows x 8 numbers less the product of rows x `count` and `count` x 8 others; all with the same width of a row.
template <std::size_t rows>
[[gnu::always_inline]] inline void subtract_tile(const double* left_re, const double* left_im, const double* upper_re,
                                                 const double* upper_im, std::size_t count, std::size_t width,
                                                 double* re, double* im) {
  Four sum_re[rows][2] = {}, sum_im[rows][2] = {};
  for (std::size_t k = 0; k < count; ++k) {
    Four b_re[2], b_im[2];
    for (std::size_t h = 0; h < 2; ++h) {
      load(upper_re + k * width + 4 * h, b_re[h]);
      load(upper_im + k * width + 4 * h, b_im[h]);
    }
    for (std::size_t r = 0; r < rows; ++r) {
      const double a_re = left_re[r * width + k], a_im = left_im[r * width + k];
      for (std::size_t h = 0; h < 2; ++h) {
        sum_re[r][h] += a_re * b_re[h] - a_im * b_im[h];
        sum_im[r][h] += a_re * b_im[h] + a_im * b_re[h];
      }
    }
  }
  for (std::size_t r = 0; r < rows; ++r) {
    for (std::size_t h = 0; h < 2; ++h) {
      Four there_re, there_im;
      load(re + r * width + 4 * h, there_re);
      load(im + r * width + 4 * h, there_im);
      there_re -= sum_re[r][h];
      there_im -= sum_im[r][h];
      store(there_re, re + r * width + 4 * h);
      store(there_im, im + r * width + 4 * h);
    }
  }
}

/// What lies right of and below a block of columns, less what they eliminate.
STILE_CLONES
void subtract_product(double* re, double* im, std::size_t n, std::size_t width, std::size_t first, std::size_t last) {
  for (std::size_t column = last; column < width; column += 8) {
    const double *upper_re = re + first * width + column, *upper_im = im + first * width + column;
    std::size_t row = last;
    for (; row + 2 <= n; row += 2)
      subtract_tile<2>(re + row * width + first, im + row * width + first, upper_re, upper_im, last - first, width,
                       re + row * width + column, im + row * width + column);
    if (row < n)
      subtract_tile<1>(re + row * width + first, im + row * width + first, upper_re, upper_im, last - first, width,
                       re + row * width + column, im + row * width + column);
  }
}

/// Divides column k below the diagonal by the pivot, and takes what it eliminates from the rows below, as far as the block
/// goes: a row may still be exchanged for one of the block.
STILE_CLONES
void eliminate(double* re, double* im, std::size_t n, std::size_t width, std::size_t k, std::size_t last) {
  const double *by_re = re + k * width, *by_im = im + k * width;
  const double size = by_re[k] * by_re[k] + by_im[k] * by_im[k];
  const double inverse_re = by_re[k] / size, inverse_im = -by_im[k] / size;
  for (std::size_t r = k + 1; r < n; ++r) {
    double* __restrict to_re = re + r * width, * __restrict to_im = im + r * width;
    const double factor_re = to_re[k] * inverse_re - to_im[k] * inverse_im,
                 factor_im = to_re[k] * inverse_im + to_im[k] * inverse_re;
    to_re[k] = factor_re, to_im[k] = factor_im;
    for (std::size_t c = k + 1; c < last; ++c) {
      to_re[c] -= factor_re * by_re[c] - factor_im * by_im[c];
      to_im[c] -= factor_re * by_im[c] + factor_im * by_re[c];
    }
  }
}

/// The rows of a block right of it, when its columns are done.
STILE_CLONES
void finish_rows(double* re, double* im, std::size_t width, std::size_t first, std::size_t last) {
  for (std::size_t r = first + 1; r < last; ++r) {
    double* __restrict to_re = re + r * width, * __restrict to_im = im + r * width;
    for (std::size_t k = first; k < r; ++k) {
      const double factor_re = to_re[k], factor_im = to_im[k];
      const double *by_re = re + k * width, *by_im = im + k * width;
      for (std::size_t c = last; c < width; ++c) {
        to_re[c] -= factor_re * by_re[c] - factor_im * by_im[c];
        to_im[c] -= factor_re * by_im[c] + factor_im * by_re[c];
      }
    }
  }
}

}  // namespace

Factors::Factors(const std::vector<cdouble>& matrix, std::size_t n)
    : n_(n), width_((n + 7) / 8 * 8), re_(n * width_, 0.0), im_(n * width_, 0.0), from_(n) {
  std::iota(from_.begin(), from_.end(), std::size_t{0});
  for (std::size_t r = 0; r < n; ++r) {
    for (std::size_t c = 0; c < n; ++c) {
      re_[r * width_ + c] = matrix[r * n + c].real();
      im_[r * width_ + c] = matrix[r * n + c].imag();
    }
  }
  const auto row_re = [&](std::size_t r) { return &re_[r * width_]; };
  const auto row_im = [&](std::size_t r) { return &im_[r * width_]; };
  for (std::size_t first = 0; first < n; first += block) {
    const std::size_t last = std::min(first + block, n);
    for (std::size_t k = first; k < last; ++k) {
      const auto size = [&](std::size_t r) {
        const double re = row_re(r)[k], im = row_im(r)[k];
        return re * re + im * im;
      };
      std::size_t pivot = k;
      for (std::size_t r = k + 1; r < n; ++r) {
        if (size(r) > size(pivot)) pivot = r;
      }
      if (pivot != k) {
        std::swap_ranges(row_re(k), row_re(k) + width_, row_re(pivot));
        std::swap_ranges(row_im(k), row_im(k) + width_, row_im(pivot));
        std::swap(from_[k], from_[pivot]);
      }
      eliminate(re_.data(), im_.data(), n, width_, k, last);
    }
    if (last == n) break;
    finish_rows(re_.data(), im_.data(), width_, first, last);
    subtract_product(re_.data(), im_.data(), n, width_, first, last);
  }
}

std::vector<cdouble> Factors::solve(const std::vector<double>& right) const {
  std::vector<cdouble> x(n_);
  for (std::size_t r = 0; r < n_; ++r) {
    double re = right[from_[r]], im = 0.0;
    for (std::size_t c = 0; c < r; ++c) {
      const double a_re = re_[r * width_ + c], a_im = im_[r * width_ + c];
      re -= a_re * x[c].real() - a_im * x[c].imag();
      im -= a_re * x[c].imag() + a_im * x[c].real();
    }
    x[r] = {re, im};
  }
  for (std::size_t r = n_; r-- > 0;) {
    double re = x[r].real(), im = x[r].imag();
    for (std::size_t c = r + 1; c < n_; ++c) {
      const double a_re = re_[r * width_ + c], a_im = im_[r * width_ + c];
      re -= a_re * x[c].real() - a_im * x[c].imag();
      im -= a_re * x[c].imag() + a_im * x[c].real();
    }
    const double d_re = re_[r * width_ + r], d_im = im_[r * width_ + r], d2 = d_re * d_re + d_im * d_im;
    x[r] = {(re * d_re + im * d_im) / d2, (im * d_re - re * d_im) / d2};
  }
  return x;
}

}  // namespace stile::wire::detail
