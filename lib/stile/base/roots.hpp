#pragma once
// The one place where roots and minima in one unknown are searched. Boost does the stepping; this wrapper checks
// what Boost does not: that the bracket is one, that the count of steps sufficed, that the sign change is a root
// and not a pole.

#include <functional>

namespace stile {

enum class RootStatus {
  not_run,       ///< nothing was searched
  found,         ///< |f(x)| <= residual, or the bracket shrank to neighbouring doubles across a continuous sign change
  no_bracket,    ///< f has the same sign at both ends, or an end is not finite
  no_converge,   ///< the step limit was reached
  pole,          ///< the sign changes, but |f| grows towards it
};

struct Root {
  RootStatus status = RootStatus::not_run;
  double x = 0.0;             ///< best value reached
  double residual = 0.0;      ///< f(x)
  int evaluations = 0;
};

struct RootOptions {
  double residual = 0.0;      ///< |f(x)| that counts as zero; 0: go to the resolution of doubles
  int max_evaluations = 200;
};

/// Root of f in [low, high], which must bracket it.
/// Source: TOMS 748, Alefeld, Potra, Shi, ACM Trans. Math. Softw. 21(3), 1995 (Boost.Math).
Root find_root(const std::function<double(double)>& f, double low, double high, const RootOptions& options = {});

struct Minimum {
  double x = 0.0;
  double value = 0.0;
  bool at_edge = false;       ///< the least value lies at an end of the interval
  int evaluations = 0;
};

/// Least value of f in [low, high]: `samples` equal steps first (so that the deepest of several valleys is taken),
/// then Brent's method around the best. f may return +inf where it is not defined.
///
/// Accuracy: x to about 1e-8 of its size (a minimum is flat); a valley narrower than a step can be missed.
/// @throws DomainError  low >= high or samples < 3
Minimum find_minimum(const std::function<double(double)>& f, double low, double high, int samples);

}  // namespace stile
