#include <stile/tuner/coverage.hpp>

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/tuner/detail/disc.hpp>

namespace stile::tuner {
namespace {

struct Arc {
  double from = 0.0, to = 0.0;  // angles, rad; 0 <= from <= to <= 2 pi
};

/// The part of the circle |Gamma| = size that a disc holds.
void add_arcs(std::vector<Arc>& arcs, const detail::SwrDisc& disc, double size) {
  if (disc.kind == detail::DiscKind::none) return;
  const Arc whole{0.0, two_pi};
  if (disc.kind == detail::DiscKind::everywhere) {
    arcs.push_back(whole);
    return;
  }
  const bool inside = disc.kind == detail::DiscKind::inside;
  const double distance = std::abs(disc.centre);
  // Law of cosines: at half-angle h from the centre's direction the circle meets the disc's edge.
  const double cosine = (size * size + distance * distance - disc.radius * disc.radius) / (2.0 * size * distance);
  if (!(std::abs(cosine) < 1.0)) {  // no crossing: the whole circle lies on one side; nan: centre 0
    const bool within = std::abs(size - disc.centre) <= disc.radius;
    if (within == inside) arcs.push_back(whole);
    return;
  }
  const double half = std::acos(cosine), middle = std::arg(disc.centre);
  double from = middle - half, to = middle + half;
  if (!inside) from = middle + half, to = middle + two_pi - half;
  const double turns = std::floor(from / two_pi) * two_pi;
  from -= turns;
  to -= turns;
  if (to <= two_pi) {
    arcs.push_back({from, to});
  } else {
    arcs.push_back({from, two_pi});
    arcs.push_back({0.0, to - two_pi});
  }
}

double union_length(std::vector<Arc>& arcs) {
  std::sort(arcs.begin(), arcs.end(), [](const Arc& a, const Arc& b) { return a.from < b.from; });
  double length = 0.0, reached = 0.0;
  for (const Arc& arc : arcs) {
    if (arc.to <= reached) continue;
    length += arc.to - std::max(arc.from, reached);
    reached = arc.to;
  }
  return length;
}

}  // namespace

std::vector<Coverage> coverage(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm,
                               std::span<const double> load_swr, std::span<const double> swr_limit,
                               double reference_ohm) {
  for (const double swr : load_swr) {
    if (!(swr > 1.0 && std::isfinite(swr)))
      throw DomainError(fmt::format("load_swr is {} and must be > 1 and finite", swr));
  }
  std::vector<Coverage> result(load_swr.size() * swr_limit.size());
  for (std::size_t k = 0; k < swr_limit.size(); ++k) {
    const std::vector<detail::SwrDisc> discs =
        detail::swr_discs(tuner, table, z_source_ohm, swr_limit[k], reference_ohm);
    for (std::size_t n = 0; n < load_swr.size(); ++n) {
      std::vector<Arc> arcs;
      for (const detail::SwrDisc& disc : discs) add_arcs(arcs, disc, (load_swr[n] - 1.0) / (load_swr[n] + 1.0));
      result[n * swr_limit.size() + k] = {load_swr[n], swr_limit[k], std::min(1.0, union_length(arcs) / two_pi)};
    }
  }
  return result;
}

}  // namespace stile::tuner
