#pragma once
// Rational interpolation of vectors that have their poles in common. Internal to the room.

#include <cstddef>
#include <vector>

#include <stile/base/quantity.hpp>

namespace stile::wire::detail {

/// A vector of functions known at several places.
struct Sample {
  double at;
  std::vector<cdouble> values;
  std::vector<double> weights;  ///< of an error in each value, > 0
};

/// r(t) = sum w_j v_j/(t - t_j) / sum w_j/(t - t_j) over some of the samples, which it meets; the weights w make it fit
/// the others as well as they can.
class RationalFit {
public:
  /// @param samples  in rising order, no two at one place
  /// @param count    how many of them it shall meet, spread evenly: 1..(size + 1)/2
  RationalFit(const std::vector<Sample>& samples, std::size_t count);

  /// What share of each sample makes the value at a place.
  std::vector<cdouble> shares(double at) const;

  double misfit() const { return misfit_; }  ///< largest weighted error at the other samples

private:
  std::vector<double> places_;
  std::vector<std::size_t> support_;
  std::vector<cdouble> weights_;
  double misfit_ = 0.0;
};

/// Least that leaves a misfit of no more than `tolerance`, else the best.
RationalFit rational_fit(const std::vector<Sample>& samples, double tolerance);

}  // namespace stile::wire::detail
