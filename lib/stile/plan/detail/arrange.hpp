#pragma once
// Arrangements as ladders: how a tuner sets itself, how a fixed match is chosen. Internal to the room.

#include <functional>
#include <optional>
#include <utility>
#include <vector>

#include <stile/station/station.hpp>

namespace stile::plan::detail {

/// Uncertain inputs at one corner of their range: factors on coil Q and on the ground's share of the load resistance.
struct Corner {
  double q = 1.0;
  double ground = 1.0;
};

/// A load's impedance with its ground part times the corner's factor (as it is when the shares are unknown).
cdouble corner_impedance(const load::Load& load, double frequency_hz, const Corner& corner);
cdouble corner_impedance(cdouble z_ohm, const std::optional<load::PowerShares>& shares, const Corner& corner);

/// A coil's loss with its Q times the corner's factor; resistances stated in ohms stay.
network::Loss corner_loss(network::Loss loss, const Corner& corner);

/// A tuner with the Q of all its inductors, in both arms, times the corner's factor.
tuner::Tuner corner_tuner(tuner::Tuner tuner, const Corner& corner);

/// A ladder with the Q of its fixed coils times the corner's factor.
network::Ladder corner_ladder(network::Ladder ladder, const Corner& corner);

/// Transmitter to load: cable before, match, cable after.
network::Ladder whole_ladder(const station::Arrangement& arrangement, const std::vector<network::Element>& match);

/// The tuner as it sets itself for one load at one frequency.
std::vector<network::Element> set_tuner(const station::Arrangement& arrangement, const tuner::TunerTable& table,
                                        const network::Source& source, double swr_limit, cdouble z_load_ohm);

/// The load as it is seen through the cable behind the match.
cdouble behind_cable(const station::Arrangement& arrangement, double frequency_hz, cdouble z_load_ohm);

/// What a fixed match is made for at the design frequency, and the loads it has to serve.
struct Goals {
  std::vector<cdouble> targets_ohm;
  std::vector<const load::Load*> served;
};
Goals goals(const station::Arrangement& arrangement, const station::Antenna& antenna, const station::Band& band,
            const Corner& corner);

/// Over the SWR limit somewhere in the part in use; greatest loss there. The lower is the better match.
using MatchRank = std::pair<bool, double>;
MatchRank match_rank(const std::function<network::Ladder(double)>& whole_at, const station::Transmitter& transmitter,
                     const Goals& goals, const station::Band& band, const Corner& corner);

/// One set of parts for a band; nothing when no L network of the wanted kind matches. Of the candidates, those within
/// the SWR limit over the part of the band in use go first, then those whose greatest loss there is least.
///
/// @param corner  what Q and ground are when the parts are chosen
std::optional<std::vector<network::Element>> choose_fixed(station::Arrangement arrangement,
                                                          const station::Transmitter& transmitter,
                                                          const station::Antenna& antenna, const station::Band& band,
                                                          const Corner& corner = {});

/// Transmitter's full power over power into the load, with the power held back at this SWR; infinite when none arrives.
double total_loss_db(const station::Transmitter& transmitter, const network::Evaluation& evaluation);

}  // namespace stile::plan::detail
