#pragma once
// How wide a band a reactive load can be matched over, whatever the network: the limits of Bode and Fano. stile-match
// shows bode_fano_bandwidth_hz; the rest is for library users.
//
// All of them hold for matching networks without loss. Losses in the network or added to the load widen the band - at
// the price of the power they take - so a measured band wider than these limits is a sign of loss, not of a better
// network.
//
// Sources: H. W. Bode, Network Analysis and Feedback Amplifier Design, 1945; R. M. Fano, Theoretical limitations on the
// broadband matching of arbitrary impedances, J. Franklin Inst. 249, 1950 (also MIT RLE Report 41, 1948); D. M. Pozar,
// Microwave Engineering, section 5.9 (from memory); G. L. Matthaei, L. Young, E. M. T. Jones, Microwave Filters,
// Impedance-Matching Networks, and Coupling Structures, 1964, chapter 4 (from memory).

#include <stile/base/range.hpp>
#include <stile/base/roots.hpp>

namespace stile::match {

struct RcLoad {
  double resistance_ohm = 0.0;  ///< > 0
  double capacitance_f = 0.0;   ///< > 0
};

struct RlLoad {
  double resistance_ohm = 0.0;  ///< > 0
  double inductance_h = 0.0;    ///< > 0
};

/// Upper bound of the integral over w = 2 pi f from 0 to infinity of ln(1/|G|), or of ln(1/|G|)/w^2, where G is the
/// reflection at the transmitter's end of any lossless network that ends in the load.
struct BodeFano {
  double bound = 0.0;           ///< rad/s, or s/rad when over_w_squared
  bool over_w_squared = false;  ///< the integrand is divided by w^2
};

/// Bounds of the four loads of one resistance and one reactance: pi/(R C), pi R/L, pi R C and pi L/R.
/// @throws DomainError  a value of the load, or the bound, is not finite and > 0
/// Accuracy: the 12 printed digits of eight rows (test_bode_fano.cpp).
BodeFano parallel_rc_bound(const RcLoad& load);
BodeFano series_rl_bound(const RlLoad& load);
BodeFano series_rc_bound(const RcLoad& load);    ///< over w^2
BodeFano parallel_rl_bound(const RlLoad& load);  ///< over w^2

/// Least |G| that is the same all over one band, with everything reflected outside it:
/// exp(-bound/(w2 - w1)), or exp(-bound/(1/w1 - 1/w2)) when the bound is over w^2.
///
/// @param limit    what one of the four functions above returned
/// @param band_hz  low >= 0 (> 0 when over w^2), high > low, finite
/// @return         |G|, 0..1; 0 where it is below the least double
/// @throws DomainError  outside these ranges
/// No network of finitely many parts reaches it; equal_ripple tells what those reach.
double flat_band_reflection(const BodeFano& limit, const Range& band_hz);

/// Least flat |G| of a load brought to resonance: exp(-pi/(Q B)), the same for series and parallel loads.
///
/// @param qb  Q B > 0, finite: Q of the resonated load at the centre, times the fractional bandwidth
///            B = (f2 - f1)/sqrt(f1 f2) about the geometric centre
/// @return    |G|, 0..1; 0 where it is below the least double
/// @throws DomainError  qb outside its range
double resonated_reflection(double qb);

/// Q B that the limit allows for a given |G|, the inverse of resonated_reflection: pi/ln(1/|G|).
///
/// @param reflection  |G|, 0 < |G| < 1
/// @throws DomainError  reflection outside its range
double qb_limit(double reflection);

/// What a network of finitely many resonators does with a resonated load.
struct EqualRipple {
  RootStatus status = RootStatus::not_run;  ///< the other values hold only when found
  double a = 0.0;                           ///< ripple parameters of the solution
  double b = 0.0;
  double reflection = 0.0;  ///< largest |G| in the band
};

/// Equal-ripple match of a resonated load by n resonators in all, the load being the first:
/// sinh a - sinh b = 2 sin(pi/2n)/(Q B), tanh(n a)/cosh a = tanh(n b)/cosh b, |G| = cosh(n b)/cosh(n a).
///
/// For n = 1 and 2 nothing better exists. For n >= 3 a response of unequal ripples is better by about 1 % of |G| (H. J.
/// Carlin and P. Amstutz, On optimum broad-band matching, IEEE Trans. CAS-28, 1981, from memory), so this is a figure
/// that can be reached and the floor is resonated_reflection.
///
/// @param resonators  n, 1..100
/// @param qb          Q B as for resonated_reflection, 0.01..1000
/// @throws DomainError  outside these ranges
/// Accuracy: |G| to 1e-13 of its value, ln|G| to 1e-12 (test_bode_fano.cpp, against long double).
/// Source: Fano 1950; Matthaei, Young, Jones 1964, chapter 4 (from memory).
EqualRipple equal_ripple(int resonators, double qb);

/// Q B at which the equal-ripple match by n resonators just keeps |G|, the inverse of equal_ripple:
/// 2|G|/(1 - |G|^2) for n = 1, 2 sqrt|G|/(1 - |G|) for n = 2, by search for more; towards qb_limit as n grows.
///
/// @param resonators  n, 1..100
/// @param reflection  |G|, 1e-6..0.999
/// @throws DomainError  outside these ranges; Error if the search ends without a root
/// Accuracy: 5e-12 of the value (test_bode_fano.cpp, against long double).
double qb_for_reflection(int resonators, double reflection);

/// Widest band over which any lossless network can keep a resonated load within an SWR: centre pi/(Q ln(1/|G|)).
///
/// @param load_q     Q of the load at the centre, with the reactance that resonates it; > 0, finite
/// @param centre_hz  geometric centre sqrt(f1 f2) of the band; > 0, finite
/// @param swr_limit  > 1, finite
/// @return           f2 - f1, Hz
/// @throws DomainError  outside these ranges, or the band is too wide or narrow for a double
/// It takes R and the reactive element of the load as constant over the band. A load with no resonator in the network
/// (n = 1) has the share qb_for_reflection(1, |G|)/qb_limit(|G|) of it: 26 % at SWR 2.
double bode_fano_bandwidth_hz(double load_q, double centre_hz, double swr_limit);

}  // namespace stile::match
