#pragma once
// What stile-sweep is asked for, and what came out.

#include <optional>
#include <string>
#include <vector>

#include <stile/safety/cautions.hpp>
#include <stile/sweep/calibrate.hpp>
#include <stile/sweep/compare.hpp>
#include <stile/sweep/correct.hpp>
#include <stile/sweep/field_log.hpp>
#include <stile/sweep/fit.hpp>
#include <stile/sweep/learn.hpp>

namespace stile::tools {

struct SweepFile {
  sweep::Sweep read;
  sweep::Judgement judged;
};

struct SweepCase {
  std::vector<SweepFile> files;
  bool judge_only = false;
  std::optional<sweep::OnePort> measured;   ///< the first file's port 1 as it was measured
  std::optional<sweep::OnePort> corrected;  ///< the same with the corrections; without any equal to measured
  std::vector<std::string> corrections;     ///< what was done, in words and in order
  std::optional<sweep::EstimatedLine> line;
  std::optional<sweep::Fit> fit;
  std::vector<sweep::OnePort> others;          ///< each further file, then --compare, as it is compared
  std::size_t measured_others = 0;             ///< of these how many are further files
  std::vector<sweep::Comparison> comparisons;  ///< each further file, then --compare, with the first
  std::optional<cdouble> renormalise_ohm;
  network::WaveDefinition waves = network::WaveDefinition::power;
  std::vector<cdouble> reflection;  ///< of corrected, in `waves` to renormalise_ohm; empty without
  std::optional<sweep::Calibration> calibration;
  std::string wires_text;  ///< the calibrated wires file
  std::vector<sweep::LogEntry> log;
  std::vector<sweep::LoggedAgainst> logged;  ///< where the log has an SWR and a sweep of its condition reaches
  std::optional<sweep::AlternationResult> alternation;
  std::optional<sweep::Alternations> needed;
  std::vector<sweep::Resonance> resonances;  ///< of corrected
  std::vector<sweep::TwoPortLoss> two_port;  ///< of a first file of two ports
  std::optional<sweep::FeedLoss> feed_loss;  ///< --radiation
  double feed_loss_hz = 0.0;
  std::optional<sweep::CoilFromResonances> coil;
  std::optional<sweep::Uncertain> tuner_loss_db;
  std::optional<sweep::RelayTable> relays;
  std::vector<sweep::RelayVerdict> verdicts;
  std::string show = "impedance";  ///< what --chart draws
  std::vector<safety::Caution> cautions;
};

}  // namespace stile::tools
