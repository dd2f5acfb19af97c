#pragma once
// A plain log of measurements and contacts, and what alternating between two arrangements can tell.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <stile/load/load.hpp>
#include <stile/network/ladder.hpp>
#include <stile/sweep/learn.hpp>

namespace stile::sweep {

/// A row of the log. What was not noted is empty.
struct LogEntry {
  std::size_t line = 0;
  double frequency_hz = 0.0;
  std::string time, place, ground, wetness, condition;
  std::string state;  ///< tap, tuner state or arrangement: what was switched
  std::optional<double> swr, power_w, current_a;
  std::optional<double> report_db;    ///< received strength, on any scale of decibels that stays the same
  std::optional<double> foretold_db;  ///< what a plan or a model foretells of it, likewise: gain, field, radiated power
};

/// Reads a CSV log: frequency_hz (or _mhz), and any of time, place, ground, wetness, condition, state, swr, power_w,
/// current_a, report_db, foretold_db; report_s counts S units of 6 dB (IARU Region 1, R.1) in the place of report_db,
/// field_v_m a field strength; foretold_v_m one in the place of foretold_db. Cells may be empty.
/// @throws ParseError  as read_table; no column of frequencies, another column, a value out of range, both reports
std::vector<LogEntry> read_log(std::string_view text, const std::string& file);

/// What was noted beside what is foretold.
struct LoggedAgainst {
  std::size_t entry = 0;                  ///< index into the log
  double swr = 0.0, predicted_swr = 0.0;  ///< swr: 0 where not noted
  double mismatch_db = 0.0;               ///< mismatch loss noted less foretold; 0 where no SWR was noted
  double current_a = 0.0,
         predicted_current_a = 0.0;  ///< rms into the load, with the power noted; 0 where not both were noted
};

/// SWR and base current of the log against those of the load of the same condition behind a ladder; power is what the
/// transmitter has available into its own impedance. Entries without SWR and without current and power, without a load
/// of their condition, or outside its data are left out. An entry without a condition takes the only load, when there
/// is one.
///
/// @param loads          each with the condition as its name
/// @param reference_ohm  > 0, of the instrument
/// @throws DomainError   as network::evaluate
std::vector<LoggedAgainst> compare_log(const std::vector<LogEntry>& log, const std::vector<load::Load>& loads,
                                       const network::Ladder& ladder, double reference_ohm);

/// How many alternations A - B detect a step through fading.
struct Alternations {
  std::size_t pairs = 0;  ///< each one reading of A and one of B right after
  std::string text;       ///< in words
};

/// @param step_db     smallest difference worth finding, > 0
/// @param fading_db   standard deviation of the difference of two readings that follow each other, > 0: note it by
///                    taking the same arrangement twice, again and again
/// @param false_alarm  chance to call a difference that is not there, two-sided, 0..0.5
/// @param missed       chance to miss the step, 0..0.5
/// @return  2 pairs at least
/// @throws DomainError  outside these
/// Accuracy: of simulated series with that many pairs 1 - missed detect it, within -3 and +6 %, since pairs are whole
/// (test_field_log.cpp).
/// Source: paired t test; pairs from the noncentral t distribution (Boost.Math), which is exact
/// for normal differences.
Alternations alternations_needed(double step_db, double fading_db, double false_alarm = 0.05, double missed = 0.2);

/// What a series of alternations says.
struct AlternationResult {
  std::string first, second;  ///< the two states, in the order of their first appearance
  std::size_t pairs = 0;
  Uncertain difference_db;            ///< first less second, with the half-width of the 95 % interval
  double fading_db = 0.0;             ///< standard deviation of the single differences
  double chance = 1.0;                ///< that so large a mean difference comes of fading alone, two-sided
  std::optional<double> foretold_db;  ///< mean of the same pairs as foretold, first less second; where all state it
  bool agrees = false;                ///< foretold and measured differ by no more than the uncertainty
  bool judged = false;                ///< false: the text says why, and the figures say nothing
  std::string text;                   ///< in words
};

/// Pairs neighbouring reports of two different states, taken in one condition at one place within one band (frequencies
/// not more than a tenth apart); a report whose neighbour does not pair with it is left out. The differences of all
/// pairs are taken together. Not judged: other than two states with reports, or fewer than 2 pairs.
AlternationResult judge_alternations(const std::vector<LogEntry>& log);

}  // namespace stile::sweep
