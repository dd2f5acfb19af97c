#pragma once
// The one place where roots and minima in one unknown are searched. Boost does the stepping; this wrapper checks
// what Boost does not: that the bracket is one, that the count of steps sufficed, that the sign change is a root
// and not a pole.

#include <functional>

namespace stile {

enum class RootStatus {
  not_run,      ///< nothing was searched
  found,        ///< |f(x)| <= residual, or the bracket shrank to neighbouring doubles across a continuous sign change
  no_bracket,   ///< f has the same sign at both ends, or an end is not finite
  no_converge,  ///< the limit of evaluations was reached, or f was NaN inside the bracket
  pole,         ///< the sign changes, but at a pole or a jump: |f| does not go to zero there
};

struct Root {
  RootStatus status = RootStatus::not_run;
  double x = 0.0;         ///< best value reached
  double residual = 0.0;  ///< f(x)
  int evaluations = 0;
};

struct RootOptions {
  double residual = 0.0;  ///< |f(x)| that counts as zero; 0: go to the resolution of doubles
  int max_evaluations = 200;
};

/// Root of f in [low, high], which must bracket it. f is called at both ends first; one that is zero is the answer.
///
/// @param low, high  finite, low < high
/// @param options    residual >= 0, in the unit of f; max_evaluations >= 2, the two ends included
/// @return           x with f(x); unless found, the best of what was reached and why it ended
/// @throws DomainError  an argument is outside its range; what f throws passes through
/// Accuracy: with residual 0 the neighbouring double nearest to zero of f as it is computed. A multiple root at x = 0
/// has no neighbours worth reaching and ends as no_converge: give a residual there. A step smaller than 1e-3 of
/// |f(low)| + |f(high)| cannot be told from a steep root and counts as found.
/// Source: TOMS 748, Alefeld, Potra, Shi, ACM Trans. Math. Softw. 21(3), 1995 (Boost.Math).
Root find_root(const std::function<double(double)>& f, double low, double high, const RootOptions& options = {});

struct Minimum {
  double x = 0.0;
  double value = 0.0;
  bool at_edge = false;  ///< the least value lies at an end of the interval
  int evaluations = 0;
};

/// Least value of f in [low, high]: `samples` equal steps first (so that the deepest of several valleys is taken),
/// then Brent's method in the two steps around the best. f may return +inf or NaN where it is not defined; where it is
/// defined nowhere on the samples, value is +inf.
///
/// Accuracy: x to about 1e-7 of a step, and never better than the flatness of the valley allows (about 1e-8 of the
/// distance over which f doubles); value to rounding. A valley narrower than a step can be missed.
/// Source: Brent, Algorithms for Minimization without Derivatives, 1973, chapter 5 (Boost.Math).
/// @throws DomainError  low >= high, an end that is not finite, or samples < 3
Minimum find_minimum(const std::function<double(double)>& f, double low, double high, int samples);

}  // namespace stile
