#include <stile/tuner/detail/disc.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/tuner/detail/arms.hpp>

namespace stile::tuner::detail {
namespace {

network::Chain chain_of(const Arms& arms, const ArmIndex& at) {
  // Voltage and current at the load are the two unknowns of the linear forms.
  const Linear voltage{1.0, 0.0}, current{0.0, 1.0};
  const WalkPoint<Linear> load{arms.dual ? current : voltage, arms.dual ? voltage : current};
  const auto end = walk_arms(load, arms.far[at.far], cdouble{arms.middle_re[at.middle], arms.middle_im[at.middle]},
                             arms.near[at.near]);
  const Linear v = arms.dual ? end.b : end.a, i = arms.dual ? end.a : end.b;
  return {v.p, v.m, i.p, i.m};
}

void check_reference(double reference_ohm) {
  if (!(reference_ohm > 0.0 && std::isfinite(reference_ohm))) {
    throw DomainError(fmt::format("reference_ohm is {} and must be > 0 and finite", reference_ohm));
  }
}

void check_disc(cdouble z_source, double swr_limit, double reference_ohm) {
  require(network::finite(z_source) && z_source.real() > 0.0, "z_source_ohm must be finite with real part > 0");
  if (!(swr_limit >= 1.0 && std::isfinite(swr_limit))) {
    throw DomainError(fmt::format("swr_limit is {} and must be >= 1 and finite", swr_limit));
  }
  check_reference(reference_ohm);
}

SwrDisc disc_of(const network::Chain& chain, cdouble z_source, double swr_limit, double reference) {
  // e = V1 + Zs I1 and f = V1 - Zs* I1, each p + m Gamma when multiplied by 1 - Gamma.
  const cdouble ez = chain.a + z_source * chain.c, e1 = chain.b + z_source * chain.d;
  const cdouble fz = chain.a - std::conj(z_source) * chain.c, f1 = chain.b - std::conj(z_source) * chain.d;
  cdouble ep = ez * reference + e1, em = ez * reference - e1, fp = fz * reference + f1, fm = fz * reference - f1;
  const double most = std::max({std::abs(ep), std::abs(em), std::abs(fp), std::abs(fm)});
  if (!(most > 0.0 && std::isfinite(most))) return {};       // nothing passes, or beyond what a double holds
  const double scale = std::scalbn(1.0, -std::ilogb(most));  // a power of two: the squares below stay in range
  ep *= scale, em *= scale, fp *= scale, fm *= scale;
  const double rho = (swr_limit - 1.0) / (swr_limit + 1.0), rho2 = rho * rho;
  // |f|^2 - rho^2 |e|^2 = k |Gamma|^2 + 2 Re(cross* Gamma) + constant <= 0
  const double k = std::norm(fm) - rho2 * std::norm(em);
  const cdouble cross = fp * std::conj(fm) - rho2 * ep * std::conj(em);
  // radius^2 = |cross|^2/k^2 - constant/k, which for these forms is rho^2 |ep fm - fp em|^2 / k^2: free of cancellation
  const auto disc = [&](DiscKind kind, double over) {
    return SwrDisc{kind, -cross / over, rho * std::abs(ep * fm - fp * em) / std::abs(over)};
  };
  if (k > 0.0) return disc(DiscKind::inside, k);
  if (k < 0.0) return disc(DiscKind::outside, k);
  // A straight edge is that of a disc so wide that its bend and the rounding of its edge are both 1e-8.
  if (cross != 0.0) return disc(DiscKind::inside, 1e-8 * std::norm(fm));
  // A state that hides the load altogether.
  return {std::norm(fp) <= rho2 * std::norm(ep) ? DiscKind::everywhere : DiscKind::none, {}, 0.0};
}

}  // namespace

bool SwrDisc::contains(cdouble reflection) const {
  switch (kind) {
  case DiscKind::none:
    return false;
  case DiscKind::everywhere:
    return true;
  case DiscKind::inside:
    return std::abs(reflection - centre) <= radius;
  case DiscKind::outside:
    break;
  }
  return std::abs(reflection - centre) >= radius;
}

SwrDisc swr_disc(const network::Chain& chain, cdouble z_source_ohm, double swr_limit, double reference_ohm) {
  check_disc(z_source_ohm, swr_limit, reference_ohm);
  require(network::finite(chain.a) && network::finite(chain.b) && network::finite(chain.c) && network::finite(chain.d),
          "the chain matrix must be finite");
  return disc_of(chain, z_source_ohm, swr_limit, reference_ohm);
}

std::vector<SwrDisc> swr_discs(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm, double swr_limit,
                               double reference_ohm) {
  check_search(tuner, table, z_source_ohm);
  check_disc(z_source_ohm, swr_limit, reference_ohm);
  std::vector<SwrDisc> discs(state_count(tuner));
  const Arms sides[] = {arms_of(tuner, table, CapacitorSide::transmitter, z_source_ohm),
                        arms_of(tuner, table, CapacitorSide::load, z_source_ohm)};
  for (std::uint64_t index = 0; index < discs.size(); ++index) {
    const TunerState state = decode_state(tuner, index);
    const Arms& arms = sides[state.side == CapacitorSide::load ? 1 : 0];
    const ArmIndex at = arm_index(tuner, state);
    if (!network::finite(arms.far[at.far]) || !network::finite(arms.near[at.near]) ||
        !std::isfinite(arms.middle_re[at.middle]))
      continue;
    discs[index] = disc_of(chain_of(arms, at), z_source_ohm, swr_limit, reference_ohm);
  }
  return discs;
}

}  // namespace stile::tuner::detail
