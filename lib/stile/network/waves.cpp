#include <stile/network/waves.hpp>

#include <cmath>
#include <limits>
#include <numbers>

#include <stile/base/errors.hpp>
#include <stile/network/chain.hpp>

namespace stile::network {

namespace {

// The impedance that b subtracts: b ~ V - W I.
cdouble emergent_reference(cdouble z_ref_ohm, WaveDefinition definition) {
  require(finite(z_ref_ohm) && z_ref_ohm.real() > 0.0, "a reference impedance must be finite with real part > 0");
  switch (definition) {
  case WaveDefinition::power:
    return std::conj(z_ref_ohm);
  case WaveDefinition::pseudo:
  case WaveDefinition::travelling:
    return z_ref_ohm;
  }
  throw DomainError("the wave definition must be stated: power, pseudo or travelling");
}

double checked_magnitude(double r) {
  constexpr double most = 1.0 + 4.0 * std::numeric_limits<double>::epsilon();
  require(r >= 0.0 && r <= most, "the magnitude of a reflection coefficient must be 0 to 1");
  return r < 1.0 ? r : 1.0;
}

}  // namespace

cdouble reflection(cdouble z_ohm, cdouble z_ref_ohm, WaveDefinition definition) {
  const cdouble w = emergent_reference(z_ref_ohm, definition);
  require(finite(z_ohm), "a load impedance must be finite");
  require(z_ohm + z_ref_ohm != 0.0, "a load of minus the reference impedance has no finite reflection");
  return (z_ohm - w) / (z_ohm + z_ref_ohm);
}

cdouble impedance_from_reflection(cdouble gamma, cdouble z_ref_ohm, WaveDefinition definition) {
  const cdouble w = emergent_reference(z_ref_ohm, definition);
  require(finite(gamma) && gamma != 1.0, "a reflection coefficient must be finite and not 1 (open circuit)");
  return (w + gamma * z_ref_ohm) / (1.0 - gamma);
}

double swr(double reflection_abs) {
  const double r = checked_magnitude(reflection_abs);
  return r == 1.0 ? std::numeric_limits<double>::infinity() : (1.0 + r) / (1.0 - r);
}

double reflection_abs_from_swr(double swr_value) {
  require(swr_value >= 1.0, "an SWR must be 1 or more");
  return std::isinf(swr_value) ? 1.0 : (swr_value - 1.0) / (swr_value + 1.0);
}

double reflection_abs_from_powers(double forward_w, double reflected_w) {
  require(std::isfinite(forward_w) && forward_w > 0.0, "forward power must be finite and above 0");
  require(reflected_w >= 0.0 && reflected_w <= forward_w, "reflected power must be 0 to the forward power");
  return std::sqrt(reflected_w / forward_w);
}

double reflection_angle_deg(cdouble gamma) {
  require(finite(gamma), "a reflection coefficient must be finite");
  return std::arg(gamma) * 180.0 / std::numbers::pi;
}

double return_loss_db(double reflection_abs) {
  const double r = checked_magnitude(reflection_abs);
  return r == 0.0 ? std::numeric_limits<double>::infinity() : 0.0 - 20.0 * std::log10(r);
}

double mismatch_loss_db(double reflection_abs) {
  const double r = checked_magnitude(reflection_abs);
  if (r == 1.0) return std::numeric_limits<double>::infinity();
  const double ln_accepted = r < 0.5 ? std::log1p(-r * r) : std::log((1.0 - r) * (1.0 + r));
  return 0.0 - 10.0 / std::numbers::ln10 * ln_accepted;
}

}  // namespace stile::network
