#pragma once
// Fields at people in what stile-plan writes.

#include <cstdint>
#include <string>
#include <vector>

#include <stile/plan/plan.hpp>
#include <stile/station/files_named.hpp>

#include "cli/command_line.hpp"
#include "cli/json.hpp"

namespace stile::tools {

/// A line each finding: band, arrangement and what was found.
std::vector<std::string> exposure_lines(const plan::Plan& plan);
/// What stands above those lines, without a full stop.
inline constexpr const char* exposure_head =
    "Exposure with the power that each arrangement delivers in its worst condition";
/// How each arrangement transmits, one line for those that do so alike; empty without fields.
std::vector<std::string> duty_lines(const plan::Plan& plan);
/// The levels of fields that were compared, a line each: standard, group, scope, status, and where they are asked for
/// sources.
std::vector<std::string> level_lines(const plan::Plan& plan, bool sources);
/// Adds to the result, each row with "band" and "arrangement":
///   "exposure_duty"       how it transmits, one an arrangement, without a band
///   "exposure"            one a place and level, of the worst condition
///   "exposure_verdicts"   one a standard and group
///   "exposure_no_level"   standards and groups that say nothing there
///   "body", "contact"     one a condition
///   "body_rows"           currents and SAR beside published levels, of the worst condition
/// and "wind", one an antenna of wires that is carried, with "antenna" and "pole".
void add_plan_exposure(Json& result, const station::Station& station, const plan::Plan& plan);
/// Below a heading, of each band and arrangement the strongest fields at head, back and along the body of who carries
/// it, of all conditions that come nearest to some level.
std::vector<std::vector<std::string>> field_rows(const plan::Plan& plan);
/// What goes into a body and what is touched: the worst condition of each band and arrangement.
struct BodyTable {
  std::vector<std::vector<std::string>> rows;  ///< with a heading; empty: no fields
  std::vector<std::string> notes;
};
/// Columns 1 to body_columns are what goes into the body, those behind them what is touched.
BodyTable body_table(const station::Station& station, const plan::Plan& plan);
inline constexpr std::size_t body_columns = 5;

/// A line a band and arrangement: the verdict on the public that is exceeded most, and what is touched; then a table of
/// what goes into a body. Empty without fields.
std::string plan_exposure_text(const station::Station& station, const plan::Plan& plan);
/// The sentences as comment lines, and every figure of add_plan_exposure as tables among them (csv_tables).
std::string plan_exposure_csv(const station::Station& station, const plan::Plan& plan);

/// What pulls at who carries it, a line an antenna and one of what holds it, or that a stated pole was not computed;
/// empty where nothing of wires is carried.
std::vector<std::string> wind_lines(const station::Station& station, const plan::Plan& plan);

/// The record of --record.
/// @param stated   the station as it was read
/// @param named    the files that it names, which are in the record too
/// @param seconds  of its date
std::string plan_record(const station::Station& station, const plan::Plan& plan, const station::StationText& stated,
                        const std::vector<station::NamedFile>& named, const Arguments& arguments, std::int64_t seconds);

}  // namespace stile::tools
