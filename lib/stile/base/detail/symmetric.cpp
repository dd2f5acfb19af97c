#include <stile/base/detail/symmetric.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include <stile/base/detail/clones.hpp>

namespace stile::detail {

namespace {

constexpr std::size_t panel = 16;  // columns eliminated together
constexpr std::size_t lanes = 4;   // of which so many at a time

/// target -= sum of four columns, each times its complex factor.
STILE_CLONES
void take_away(double* __restrict target_re, double* __restrict target_im, const double* re0, const double* re1,
               const double* re2, const double* re3, const double* im0, const double* im1, const double* im2,
               const double* im3, const double* factor_re, const double* factor_im, std::size_t count) {
  const double r0 = factor_re[0], r1 = factor_re[1], r2 = factor_re[2], r3 = factor_re[3];
  const double i0 = factor_im[0], i1 = factor_im[1], i2 = factor_im[2], i3 = factor_im[3];
  for (std::size_t k = 0; k < count; ++k) {
    target_re[k] -= ((re0[k] * r0 - im0[k] * i0) + (re1[k] * r1 - im1[k] * i1)) +
                    ((re2[k] * r2 - im2[k] * i2) + (re3[k] * r3 - im3[k] * i3));
    target_im[k] -= ((re0[k] * i0 + im0[k] * r0) + (re1[k] * i1 + im1[k] * r1)) +
                    ((re2[k] * i2 + im2[k] * r2) + (re3[k] * i3 + im3[k] * r3));
  }
}

}  // namespace

SymmetricSystem::SymmetricSystem(std::size_t size, std::size_t columns)
    : size_(size), columns_(columns), height_(size + columns), re_(height_ * height_), im_(height_ * height_),
      begins_(columns, size) {}

void SymmetricSystem::set_right(std::size_t row, std::size_t column, cdouble value) {
  set(size_ + column, row, value);
  begins_[column] = std::min(begins_[column], row);
}

bool SymmetricSystem::eliminate() {
  pivot_.resize(size_);
  const std::vector<double> nothing(height_, 0.0);
  // Rows below A that hold something once `eliminated` columns are through.
  const auto end_row = [&](std::size_t eliminated) {
    std::size_t used = columns_;
    while (used > 0 && begins_[used - 1] >= eliminated) --used;
    return size_ + used;
  };
  // Takes the columns first to last - 1, already divided by their pivots, away from column `target`, from its diagonal
  // on.
  const auto subtract = [&](std::size_t target, std::size_t first, std::size_t last, std::size_t end) {
    for (std::size_t p = first; p < last; p += lanes) {
      std::array<const double*, lanes> re, im;
      std::array<double, lanes> factor_re{}, factor_im{};
      for (std::size_t k = 0; k < lanes; ++k) {
        const bool real = p + k < last;
        re[k] = real ? &re_[target + (p + k) * height_] : nothing.data();
        im[k] = real ? &im_[target + (p + k) * height_] : nothing.data();
        if (!real) continue;
        const cdouble factor = pivot_[p + k] * cdouble{*re[k], *im[k]};
        factor_re[k] = factor.real();
        factor_im[k] = factor.imag();
      }
      take_away(&re_[target + target * height_], &im_[target + target * height_], re[0], re[1], re[2], re[3], im[0],
                im[1], im[2], im[3], factor_re.data(), factor_im.data(), end - target);
    }
  };
  for (std::size_t first = 0; first < size_; first += panel) {
    const std::size_t last = std::min(size_, first + panel), end = end_row(last);
    for (std::size_t column = first; column < last; ++column) {
      subtract(column, first, column, end);
      double *const re = &re_[column * height_], *const im = &im_[column * height_];
      pivot_[column] = {re[column], im[column]};
      const cdouble by = 1.0 / pivot_[column];
      double largest2 = 0.0;  // |entry|^2 over |pivot|^2
      for (std::size_t row = column + 1; row < end; ++row) {
        const double value_re = re[row] * by.real() - im[row] * by.imag();
        im[row] = re[row] * by.imag() + im[row] * by.real();
        re[row] = value_re;
        if (row < size_) largest2 = std::max(largest2, re[row] * re[row] + im[row] * im[row]);
      }
      if (!(std::isfinite(std::norm(by)) && largest2 <= 1e6)) return false;
    }
    for (std::size_t column = last; column < end; ++column) subtract(column, first, last, end);
  }
  return true;
}

cdouble SymmetricSystem::condensed(std::size_t row, std::size_t column) const {
  const std::size_t at = size_ + std::max(row, column) + (size_ + std::min(row, column)) * height_;
  return {-re_[at], -im_[at]};
}

std::vector<cdouble> SymmetricSystem::solve(std::span<const cdouble> w) const {
  std::vector<double> x_re(size_, 0.0), x_im(size_, 0.0);
  std::vector<cdouble> x(size_);
  for (std::size_t column = size_; column-- > 0;) {  // the border is right^T L^-T D^-1 by now: L^T is left
    const double *const re = &re_[column * height_], *const im = &im_[column * height_];
    for (std::size_t k = 0; k < columns_; ++k) x[column] += w[k] * cdouble{re[size_ + k], im[size_ + k]};
    double sum_re = 0.0, sum_im = 0.0;
    for (std::size_t row = column + 1; row < size_; ++row) {
      sum_re += re[row] * x_re[row] - im[row] * x_im[row];
      sum_im += re[row] * x_im[row] + im[row] * x_re[row];
    }
    x[column] -= cdouble{sum_re, sum_im};
    x_re[column] = x[column].real(), x_im[column] = x[column].imag();
  }
  return x;
}

}  // namespace stile::detail
