#pragma once
// An antenna of a brief with all its matches: what the search ranks by. Internal to the room.

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <stile/design/design.hpp>
#include <stile/design/detail/antennas.hpp>
#include <stile/plan/plan.hpp>

namespace stile::design::detail {

/// The worth of a match on an antenna: more bands held first, then less loss.
struct Score {
  std::size_t held = 0;
  double objective_db = 0.0;            ///< infinite: it cannot be
  std::vector<std::string> not_held{};  ///< names of bands
  std::vector<double> counted_db{};     ///< of each band; empty with an infinite objective
  std::vector<bool> holds{};            ///< likewise
  double nearest =
      0.0;  ///< of the bands that do not hold the least excess over SWR limit or rating, as a logarithm; 0: all hold
};

/// The settings of an arrangement in a plan, as a station states them: one a band, or one in each condition.
std::vector<station::StatedSetting> stated_settings(const plan::Plan& plan, std::size_t arrangement,
                                                    bool each_condition);

/// Where the coil of an arrangement is tapped on each band.
std::vector<station::StatedTap> stated_taps(const plan::Plan& plan, std::size_t arrangement);

/// No part is over its rating in a normal condition.
bool within_ratings(const plan::ArrangementResult& result);

/// True when a is better than b, by the objective.
bool better(Objective objective, const Score& a, const Score& b);

struct Scored {
  station::AntennaChoice antenna;
  std::vector<Score>
      scores;             ///< one a network that takes part; infinite where it was skipped, is too heavy or impossible
  double bound_db = 0.0;  ///< mean over the bands with a match without loss; infinite: not solved, or it cannot be
  std::size_t settings = 0, skipped = 0;
};

/// Of which networks a score is wanted.
struct Ask {
  std::vector<Score> best{};  ///< of each network's class so far: what cannot be better is skipped; empty: nothing is
  std::optional<std::size_t> only{};             ///< one network alone, by its place in Scoring::networks
  bool beyond_limits = false;                    ///< the limits of the brief do not count
  bool interpolated = false;                     ///< the antenna from those around it, where that can be: see Antennas
  std::optional<station::AntennaChoice> near{};  ///< likewise
};

/// What does not change from antenna to antenna.
class Scoring {
public:
  /// @param known  antennas that are solved already, taken where they are this brief's; nothing: none
  /// @throws DomainError  no network of the class asked for
  Scoring(const station::Brief& brief, const SearchOptions& options, std::shared_ptr<Antennas> known = {});

  /// Whether a score of the antenna asks for its loads: a network is within the limits.
  bool wanted(const station::AntennaChoice& antenna, const Ask& ask) const;

  /// Networks that take part, of Brief::networks.
  const std::vector<std::size_t>& networks() const { return networks_; }
  std::vector<Touch> touches() const;
  const station::Brief& brief() const { return brief_; }
  bool towards_path() const;

  /// Within the limits of mass with at least one network, and of height.
  bool within(const station::AntennaChoice& antenna, std::size_t network) const;
  double mass_kg(const station::AntennaChoice& antenna, std::size_t network) const;
  /// The match's own, the choke's and that of the coil on the whip are stated.
  bool mass_known(const station::AntennaChoice& antenna, std::size_t network) const;

  Scored score(const station::AntennaChoice& antenna, const Ask& ask) const;

  /// What was solved so far, of antennas that can be.
  const Antennas& antennas() const { return *antennas_; }
  std::shared_ptr<Antennas> shared_antennas() const { return antennas_; }

  /// The station of a network on an antenna, solved exactly over its bands, with its settings stated. From one thread
  /// at a time.
  DesignedStation exact(const station::AntennaChoice& antenna, std::size_t network, const std::string& file_stem) const;

private:
  void wind_coils();
  station::Station with_turns(const station::Station& station) const;

  const station::Brief& brief_;
  Objective objective_;
  unsigned threads_;
  bool every_point_;  // of what was found
  std::vector<std::size_t> networks_;
  station::Station frame_;  // the brief's station with every network, bands narrowed to the parts in use; no loads
  std::shared_ptr<Antennas> antennas_;
  std::shared_ptr<plan::WoundCoils> coils_;
  mutable std::map<station::AntennaChoice, std::vector<station::Antenna>> whole_bands_;  // solved over the whole bands
};

}  // namespace stile::design::detail
