#include <stile/station/wires_write.hpp>

#include <sstream>

#include <toml++/toml.h>

#include <stile/base/quantity.hpp>

namespace stile::station {
namespace {

double number_of(const toml::node& node, const std::string& file) {
  if (const auto value = node.value<double>(); value && !node.is_string()) return *value;
  if (const auto text = node.value<std::string>())
    return read_quantity(*text, Unit::metre, {file, node.source().begin.line, node.source().begin.column});
  throw ParseError({file, node.source().begin.line, node.source().begin.column}, "a length is needed here");
}

/// Every wire but the feed's as many times as long, level from the feed.
void stretch(toml::table& root, const std::string& file, double factor) {
  toml::array* wires = root["wire"].as_array();
  if (wires == nullptr || wires->empty()) return;
  std::string fed = (*wires)[0].as_table() ? (*(*wires)[0].as_table())["name"].value_or(std::string()) : "";
  fed = root["feed"]["on"].value_or(fed);
  double x0 = 0.0, y0 = 0.0;
  for (toml::node& node : *wires) {
    toml::table* wire = node.as_table();
    if (wire == nullptr || (*wire)["name"].value_or(std::string()) != fed) continue;
    if (const toml::array* points = (*wire)["points"].as_array();
        points && !points->empty() && (*points)[0].as_array()) {
      x0 = number_of(*(*points)[0].as_array()->get(0), file);
      y0 = number_of(*(*points)[0].as_array()->get(1), file);
    }
  }
  for (toml::node& node : *wires) {
    toml::table* wire = node.as_table();
    if (wire == nullptr || (*wire)["name"].value_or(std::string()) == fed) continue;
    if (const toml::node* length = wire->get("length")) {
      const double stretched = factor * number_of(*length, file);
      wire->insert_or_assign("length", stretched);
    }
    toml::array* points = (*wire)["points"].as_array();
    if (points == nullptr) continue;
    for (toml::node& point : *points) {
      toml::array* p = point.as_array();
      if (p == nullptr || p->size() != 3) continue;
      const double x = number_of(*p->get(0), file), y = number_of(*p->get(1), file), z = number_of(*p->get(2), file);
      *p = toml::array{x0 + factor * (x - x0), y0 + factor * (y - y0), z};
    }
  }
}

}  // namespace

std::string with_calibration(std::string_view text, const std::string& file,
                             const std::vector<ConditionGround>& grounds,
                             const std::optional<double>& base_capacitance_f, const std::vector<std::string>& remarks,
                             double counterpoise_factor) {
  toml::table root;
  try {
    root = toml::parse(text, file);
  } catch (const toml::parse_error& error) {
    throw ParseError({file, error.source().begin.line, error.source().begin.column}, error.description());
  }
  for (const ConditionGround& g : grounds) {
    require(g.ground.kind == wire::GroundKind::lossy, "a condition gets a lossy ground");
    const toml::table values{{"relative_permittivity", g.ground.relative_permittivity},
                             {"conductivity", g.ground.conductivity_s_m}};
    toml::array* conditions = root["condition"].as_array();
    if (conditions == nullptr) {
      if (g.condition != "as drawn")
        throw ParseError({file, 0, 0},
                         "there is no condition \"" + g.condition + "\"; the file has none, legal: \"as drawn\"");
      root.insert_or_assign("ground", values);
      continue;
    }
    bool there = false;
    for (toml::node& node : *conditions) {
      toml::table* condition = node.as_table();
      if (condition == nullptr) continue;
      const auto name = (*condition)["name"].value_or(std::string());
      if (name != g.condition) continue;
      condition->insert_or_assign("ground", values);
      there = true;
    }
    if (!there)
      throw ParseError({file, 0, 0}, "there is no condition \"" + g.condition + "\" in the file by its own name");
  }
  if (base_capacitance_f) {
    require(*base_capacitance_f >= 0.0, "the base capacitance must be >= 0");
    if (root["feed"].as_table() == nullptr) root.insert_or_assign("feed", toml::table{});
    root["feed"].as_table()->insert_or_assign("base_capacitance", *base_capacitance_f);
  }
  require(counterpoise_factor > 0.0, "the factor of the counterpoise must be > 0");
  if (counterpoise_factor != 1.0) stretch(root, file, counterpoise_factor);
  std::ostringstream out;
  for (const std::string& remark : remarks) out << "# " << remark << "\n";
  out << root << "\n";
  return out.str();
}

}  // namespace stile::station
