#include <stile/plan/detail/fed_coil.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <tuple>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/coil/autotransformer.hpp>
#include <stile/network/foldback.hpp>

namespace stile::plan::detail {
namespace {

/// A load behind its cable.
struct Seen {
  cdouble z_ohm;
  double share = 1.0;  ///< of the power into the cable that counts
};

/// What a position does in some loads.
struct Reached {
  bool fails = false;  ///< the SWR limit
  double loss_db = -network::infinite;

  bool operator<(const Reached& other) const { return std::tie(fails, loss_db) < std::tie(other.fails, other.loss_db); }
  void take(const Reached& other) {
    fails = fails || other.fails;
    loss_db = std::max(loss_db, other.loss_db);
  }
};

network::Chain chain_of(const network::Ladder& ladder, double frequency_hz) {
  network::Chain all;
  for (const network::Element& e : ladder.elements) all = network::cascade(all, network::chain(e, frequency_hz));
  return all;
}

class FedSearch {
public:
  FedSearch(const FedCoil& coil, const std::vector<double>& frequency_hz, const match::SettingJob& job,
            const Corner& corner)
      : coil_(coil), frequency_hz_(frequency_hz), job_(job), corner_(corner) {
    for (const double f : frequency_hz) before_.push_back(chain_of(job.before, f));
    for (std::size_t trimmer = 0; trimmer < trimmer_positions; ++trimmer) {
      for (const double f : frequency_hz) trimmers_.push_back(coil.trimmer_siemens({0, 0, {}, trimmer}, f));
    }
    for (const match::ServedLoad& load : job.loads) {
      std::vector<Seen>& seen = loads_.emplace_back();
      for (std::size_t k = 0; k < frequency_hz.size(); ++k) {
        const network::Chain after = chain_of(job.after, frequency_hz[k]);
        const cdouble z = load.z_ohm[k], v = after.a * z + after.b, i = after.c * z + after.d;
        seen.push_back({v / i, load.radiated_share[k] * z.real() / (std::norm(i) * (v / i).real())});
      }
    }
  }

  /// What a position does in loads, as long as it is better than `floor`; nothing when it is not.
  std::optional<Reached> judge(const FedPosition& position, std::size_t load, const std::optional<Reached>& floor) {
    ++tried_;
    const std::vector<network::ImpedanceMatrix>& winding = winding_ohm(position);
    Reached all;
    for (std::size_t k = 0; k < frequency_hz_.size(); ++k) {
      const network::ImpedanceMatrix z = coil_.with_trimmer_ohm(
          winding[k], trimmers_[position.trimmer * frequency_hz_.size() + k], frequency_hz_[k], corner_);
      all.take(at(z, loads_[load][k], before_[k]));
      if (floor && !(all < *floor)) return {};
    }
    return all;
  }

  std::size_t tried() const { return tried_; }

private:
  /// At each frequency, computed once for all trimmer positions and loads.
  const std::vector<network::ImpedanceMatrix>& winding_ohm(const FedPosition& position) {
    const std::size_t taps = std::max(position.feed, position.antenna) + 1;
    auto& windings = windings_[position.unused == coil::Unused::open ? 0 : 1];
    if (windings.size() < taps) windings.resize(taps);
    std::vector<std::vector<network::ImpedanceMatrix>>& row = windings[position.feed];
    if (row.size() <= position.antenna) row.resize(position.antenna + 1);
    std::vector<network::ImpedanceMatrix>& known = row[position.antenna];
    if (known.empty()) {
      for (const double f : frequency_hz_) known.push_back(coil_.winding_ohm(position, f, corner_));
    }
    return known;
  }

  Reached at(const network::ImpedanceMatrix& z, const Seen& load, const network::Chain& before) const {
    const cdouble loop = z.z22 + load.z_ohm, through = z.z12 / loop, in = z.z11 - z.z12 * through;
    const cdouble zs = job_.source.z_ohm, v = before.a * in + before.b, i = before.c * in + before.d, sent = v + zs * i,
                  back = v - std::conj(zs) * i;
    const double reflection = std::abs(back / sent), swr = (1.0 + reflection) / (1.0 - reflection);
    Reached reached{!(reflection < 1.0 && swr <= job_.swr_limit), network::infinite};
    if (!(reflection < 1.0)) return reached;
    const double offered = network::power_at_swr(job_.source.power_w, job_.foldback, swr) / job_.source.power_w;
    const double share = offered * 4.0 * zs.real() * std::norm(through / sent) * load.z_ohm.real() * load.share;
    if (share > 0.0) reached.loss_db = -10.0 * std::log10(share);
    return reached;
  }

  const FedCoil& coil_;
  const std::vector<double>& frequency_hz_;
  const match::SettingJob& job_;
  const Corner& corner_;
  std::vector<network::Chain> before_;
  std::vector<cdouble> trimmers_;
  std::vector<std::vector<Seen>> loads_;
  std::array<std::vector<std::vector<std::vector<network::ImpedanceMatrix>>>, 2> windings_;  // by feed and antenna
  std::size_t tried_ = 0;
};

}  // namespace

FedCoil::FedCoil(const station::Arrangement& arrangement, const CoilTaps& taps, const station::Band& band)
    : coil_(arrangement.coil), stock_(arrangement.parts.stock), taps_(taps) {
  for (const station::StatedTap& tap : coil_.taps) {
    if (tap.band == band.name) stated_ = tap;
  }
}

bool stays_as(const FedPosition& set, const FedPosition& other, match::Moves moves) {
  const bool tap = moves == match::Moves::tap || moves == match::Moves::tap_and_trimmer,
             trimmer = moves == match::Moves::trimmer || moves == match::Moves::tap_and_trimmer;
  return other.feed == set.feed && other.unused == set.unused && (tap || other.antenna == set.antenna) &&
         (trimmer || other.trimmer == set.trimmer);
}

double FedCoil::trimmer_f(const FedPosition& position) const {
  return coil_.trimmer_f * static_cast<double>(position.trimmer) / static_cast<double>(trimmer_positions - 1);
}

std::vector<FedPosition> FedCoil::positions() const {
  std::vector<FedPosition> all;
  all.reserve(count());
  for (FedPosition position : taps()) {
    for (position.trimmer = 0; position.trimmer < trimmers(); ++position.trimmer) all.push_back(position);
  }
  return all;
}

std::size_t FedCoil::count() const { return taps().size() * trimmers(); }

std::vector<FedPosition> FedCoil::taps() const {
  const std::vector<double>& turns = taps_.turns();
  const std::optional<coil::Unused> wanted = stated_ ? stated_->unused : coil_.unused;
  std::vector<FedPosition> all;
  for (std::size_t feed = 1; feed < turns.size(); ++feed) {
    if (stated_ && stated_->feed_turns && turns[feed] != *stated_->feed_turns) continue;
    for (const coil::Unused unused : {coil::Unused::open, coil::Unused::shorted}) {
      if (wanted && *wanted != unused) continue;
      for (std::size_t tap = 1; tap < turns.size(); ++tap) {
        if (stated_ && turns[tap] != stated_->turns) continue;
        const bool dead = std::max(feed, tap) + 1 < turns.size();
        if (unused == coil::Unused::shorted && !wanted && !dead) continue;
        all.push_back({feed, tap, unused, 0});
      }
    }
  }
  return all;
}

network::ImpedanceMatrix FedCoil::winding_ohm(const FedPosition& position, double frequency_hz,
                                              const Corner& corner) const {
  network::ImpedanceMatrix z = taps_.pair_ohm(position.feed, position.antenna, position.unused, frequency_hz);
  const conductor::RoundWire& wire = coil_.winding.wire;
  const double q = corner.q * temperature_factor(corner, wire.temperature_c, wire.metal.temperature_coefficient_per_k);
  for (cdouble* entry : {&z.z11, &z.z12, &z.z21, &z.z22}) *entry = {entry->real() / q, entry->imag()};
  return z;
}

cdouble FedCoil::trimmer_siemens(const FedPosition& position, double frequency_hz) const {
  const double trimmer = trimmer_f(position);
  return trimmer > 0.0 ? 1.0 / network::impedance(network::Capacitor{trimmer, stock_.capacitor_loss}, frequency_hz)
                       : cdouble{0.0};
}

network::ImpedanceMatrix FedCoil::with_trimmer_ohm(const network::ImpedanceMatrix& winding, cdouble trimmer_siemens,
                                                   double frequency_hz, const Corner& corner) const {
  network::ImpedanceMatrix z = winding;
  if (trimmer_siemens != 0.0) {
    const cdouble scale = 1.0 / (1.0 + trimmer_siemens * z.z22);
    z = {z.z11 - trimmer_siemens * z.z12 * z.z21 * scale, z.z12 * scale, z.z21 * scale, z.z22 * scale};
  }
  const double contact_ohm = coil_.contact_ohm + corner.contact_ohm;
  z.z11 += contact_ohm;
  z.z22 += cdouble{contact_ohm, two_pi * frequency_hz * coil_.lead_inductance_h};
  return z;
}

network::ImpedanceMatrix FedCoil::impedances_ohm(const FedPosition& position, double frequency_hz,
                                                 const Corner& corner) const {
  return with_trimmer_ohm(winding_ohm(position, frequency_hz, corner), trimmer_siemens(position, frequency_hz),
                          frequency_hz, corner);
}

std::vector<network::Element> FedCoil::elements(const FedPosition& position, double frequency_hz,
                                                const Corner& corner) const {
  std::string label =
      fmt::format("coil (fed at turn {:g}, antenna at turn {:g}", feed_turns(position), antenna_turns(position));
  if (std::max(position.feed, position.antenna) + 1 < taps_.turns().size())
    label += position.unused == coil::Unused::open ? ", rest open" : ", rest shorted";
  if (const double trimmer = trimmer_f(position); trimmer > 0.0)
    label += fmt::format(", {} across", print_quantity(trimmer, Unit::farad, 3));
  label += ")";
  std::vector<network::Element> parts =
      coil::two_port_elements(label, impedances_ohm(position, frequency_hz, corner), frequency_hz);
  for (network::Element& part : parts) part.label = label;
  return parts;
}

FedSetting find_fed_setting(const FedCoil& coil, const std::vector<FedPosition>& positions, match::Moves moves,
                            const std::vector<double>& frequency_hz, const match::SettingJob& job,
                            const Corner& corner) {
  FedSearch search(coil, frequency_hz, job, corner);
  // By what stays: feed and unused, antenna's tap, trimmer.
  using match::Moves;
  const bool all_move = moves == Moves::each_condition;
  const bool tap = all_move || moves == Moves::tap || moves == Moves::tap_and_trimmer,
             trimmer = all_move || moves == Moves::trimmer || moves == Moves::tap_and_trimmer;
  std::map<std::array<std::size_t, 4>, std::vector<const FedPosition*>> classes;
  for (const FedPosition& p : positions) {
    const std::size_t shorted = p.unused == coil::Unused::shorted ? 1 : 0;
    classes[{all_move ? 0 : p.feed, all_move ? 0 : shorted, tap ? 0 : p.antenna, trimmer ? 0 : p.trimmer}].push_back(
        &p);
  }
  std::vector<std::size_t> normal;
  for (std::size_t n = 0; n < job.loads.size(); ++n) {
    if (job.loads[n].normal) normal.push_back(n);
  }
  // What a hand moves is the best in each condition; what stays, that whose worst condition is best.
  std::optional<Reached> best;
  std::vector<const FedPosition*> taken(job.loads.size(), nullptr);
  for (const auto& [stays, members] : classes) {
    Reached all;
    std::vector<const FedPosition*> here(job.loads.size(), nullptr);
    bool worse = false;
    for (const std::size_t n : normal) {
      std::optional<Reached> least = best;
      for (const FedPosition* p : members) {
        if (const auto reached = search.judge(*p, n, least)) least = reached, here[n] = p;
      }
      if (here[n] != nullptr) all.take(*least);
      worse = here[n] == nullptr || (best && !(all < *best));
      if (worse) break;
    }
    if (!worse) best = all, taken = here;
  }
  // An accident finds it as it was left: in the setting that is worst for it.
  for (std::size_t n = 0; n < job.loads.size(); ++n) {
    if (job.loads[n].normal) continue;
    std::optional<Reached> worst;
    for (const std::size_t from : normal) {
      const Reached left = *search.judge(*taken[from], n, {});
      if (!worst || left.loss_db > worst->loss_db) worst = left, taken[n] = taken[from];
    }
  }
  FedSetting found;
  for (const FedPosition* p : taken) found.conditions.push_back(*p);
  found.worst_loss_db = best->loss_db;
  found.proof = {search.tried(), best->loss_db, true,
                 "every pair of taps was evaluated or excluded by what it does in one condition"};
  return found;
}

}  // namespace stile::plan::detail
