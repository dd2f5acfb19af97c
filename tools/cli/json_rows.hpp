#pragma once
// Rows of a result's JSON as tables among the comment lines of its CSV, so that both have the same figures.

#include <string>

#include "cli/json.hpp"

namespace stile::tools {

/// A table whose lines begin with "# SUBJECT,"; the first has the names of the columns. Without a row nothing.
///
/// Columns are the members of all rows in the order in which they come: "wind.held_nm" of a member within a member,
/// "x.low" and "x.high" of a range [low, high], "point_m.x", "point_m.y" and "point_m.z" of a place; texts of a list
/// are one cell, with "; " between. Numbers have the digits of the JSON; a cell is empty where there is nothing, an
/// empty list has none. Rows within a row are a table of their own, "SUBJECT MEMBER", each with its band, arrangement,
/// antenna and condition before it.
/// @param rows  array of objects; numbers stand alone or in arrays of two and three
std::string csv_tables(const std::string& subject, const Json& rows);

}  // namespace stile::tools
