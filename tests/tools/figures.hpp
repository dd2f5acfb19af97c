#pragma once
// Figures that are printed for people, sought among the numbers of the JSON beside them.

#include <algorithm>
#include <cmath>
#include <map>
#include <regex>
#include <set>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

namespace programs {

inline std::vector<double> numbers_of(const std::string& text) {
  static const std::regex number(R"(\d+\.?\d*(e[-+]?\d+)?)");
  std::vector<double> numbers;
  for (std::sregex_iterator m(text.begin(), text.end(), number), end; m != end; ++m)
    numbers.push_back(std::stod(m->str()));
  return numbers;
}

/// Every number of a JSON value but those of curves, and those inside its texts; names of the file apart.
inline void collect(const nlohmann::json& j, std::vector<double>& numbers, std::set<std::string>& names) {
  if (j.is_number()) numbers.push_back(std::abs(j.get<double>()));
  if (j.is_string()) {
    for (const double x : numbers_of(j)) numbers.push_back(x);
  }
  if (j.is_array()) {
    for (const auto& item : j) collect(item, numbers, names);
  }
  if (!j.is_object()) return;
  for (const auto& [key, value] : j.items()) {
    if (key == "frequency_hz" || key == "swr_along_band" || key == "edges_ohm") continue;
    if (value.is_string() && (key == "band" || key == "name" || key == "arrangement" || key == "condition"))
      names.insert(value.get<std::string>());
    collect(value, numbers, names);
  }
}

struct Printed {
  std::string text;
  double low = 0.0, high = 0.0;  ///< what it may be rounded from, SI
  bool s_units = false;
};

/// Numbers of a text for people with their units; those inside names and words left out.
inline std::vector<Printed> printed(std::string text, const std::set<std::string>& names) {
  static const std::map<std::string, double> units{
      {"mW", 1e-3},        {"uW", 1e-6}, {"kV", 1e3},  {"mV", 1e-3}, {"uH", 1e-6}, {"nH", 1e-9},  {"pF", 1e-12},
      {"nF", 1e-9},        {"mA", 1e-3}, {"uA", 1e-6}, {"kHz", 1e3}, {"MHz", 1e6}, {"%", 1e-2},   {"g", 1e-3},
      {"min", 1.0 / 60.0}, {"km", 1e3},  {"cm", 1e-2}, {"mm", 1e-3}, {"l", 1e-3},  {"kohm", 1e3}, {"mohm", 1e-3}};
  std::vector<std::string> longest_first(names.begin(), names.end());
  std::sort(longest_first.begin(), longest_first.end(),
            [](const std::string& a, const std::string& b) { return a.size() > b.size(); });
  for (const std::string& name : longest_first) {
    for (std::size_t at = text.find(name); at != std::string::npos; at = text.find(name, at))
      text.replace(at, name.size(), "_");
  }
  static const std::regex number(R"((^|[^A-Za-z0-9.\-])(\d+(\.\d+)?)(\s*(%|[A-Za-z]+))?)");
  std::vector<Printed> all;
  for (std::sregex_iterator m(text.begin(), text.end(), number), end; m != end; ++m) {
    const std::string digits = (*m)[2], unit = (*m)[5];
    const std::size_t point = digits.find('.');
    const double half =
        0.500001 * std::pow(10.0, point == std::string::npos ? 0.0 : -double(digits.size() - point - 1));
    const auto scale = units.find(unit);
    const double si = scale == units.end() ? 1.0 : scale->second, value = std::stod(digits);
    const bool more_than = (*m)[1] == ">";  // ">100": a limit of what is told, not a value
    all.push_back(
        {(*m)[0], (value - (more_than ? 0.0 : half)) * si, more_than ? 1e300 : (value + half) * si, unit == "S"});
  }
  return all;
}

/// @param factor  what the printed number is off by
inline bool among(const std::vector<double>& numbers, const Printed& p, double factor = 1.0) {
  const auto has = [&](double low, double high) {
    return std::any_of(numbers.begin(), numbers.end(), [&](double x) { return x >= low && x <= high; });
  };
  constexpr double db_per_s_unit = 6.0;  // an S unit is said beside its decibels
  return has(factor * p.low, factor * p.high) ||
         (p.s_units && has(factor * db_per_s_unit * p.low, factor * db_per_s_unit * p.high));
}

/// What a report's page says in words and tables: pictures, cautions, inputs and versions left out, whose numbers are
/// no results. Every tag ends a line.
inline std::string page_text(const std::string& html) {
  std::string text;
  for (std::size_t at = html.find("<section"); at != html.npos; at = html.find("<section", at + 1)) {
    std::string section = html.substr(at, html.find("</section>", at) - at);
    const auto headed = [&](const char* words) { return section.find("<h2>" + std::string(words)) != section.npos; };
    if (headed("Cautions") || headed("Inputs") || headed("Versions")) continue;
    for (std::size_t svg = section.find("<svg"); svg != section.npos; svg = section.find("<svg"))
      section.erase(svg, section.find("</svg>", svg) - svg);
    bool tag = false;
    for (const char c : section) {
      if (c == '<') text += '\n';
      tag = c == '<' || (tag && c != '>');
      if (!tag && c != '>') text += c;
    }
  }
  for (std::size_t at = text.find("&gt;"); at != text.npos; at = text.find("&gt;", at)) text.replace(at, 4, ">");
  return text;
}

}  // namespace programs
