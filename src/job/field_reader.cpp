#include "job/field_reader.h"

#include <fmt/format.h>

#include <cmath>
#include <sstream>

namespace seamwright::job_detail {
namespace {

std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t above = row[j];
      row[j] = std::min({above + 1, row[j - 1] + 1, diagonal + (a[i - 1] == b[j - 1] ? 0 : 1)});
      diagonal = above;
    }
  }
  return row[b.size()];
}

std::string in_words(const toml::node& node) {
  std::ostringstream out;
  node.visit([&](const auto& value) { out << value; });
  return out.str();
}

std::string range_words(const FieldDoc& doc) {
  if (std::isinf(doc.low) && std::isinf(doc.high)) return "a number";
  return fmt::format("a number from {} to {}", doc.low, doc.high);
}

}  // namespace

std::string nearest_word(std::string_view word, const std::vector<std::string>& known) {
  std::string nearest;
  std::size_t least = std::string::npos;
  for (const std::string& candidate : known) {
    const std::size_t edits = edit_distance(word, candidate);
    if (edits < least) {
      least = edits;
      nearest = candidate;
    }
  }
  return nearest;
}

std::string place(const std::string& file, const toml::node& node) {
  return fmt::format("{}:{}", file, node.source().begin.line);
}

Status FieldReader::finish() const {
  if (error_) return *error_;
  for (const auto& [key, node] : table_) {
    const std::string word(key.str());
    if (std::find(known_.begin(), known_.end(), word) != known_.end()) continue;
    return Error{"job-unknown-key",
                 fmt::format("{}: {} has no key \"{}\"; the nearest one is \"{}\"",
                             place(file_, node), section_, word, nearest_word(word, known_))};
  }
  return ok();
}

void FieldReader::fail(const toml::node& node, const FieldDoc& doc, const std::string& wanted) {
  error_ = Error{"job-bad-value", fmt::format("{}: {} {} = {}: give {} ({})", place(file_, node),
                                              section_, doc.key, in_words(node), wanted, doc.help)};
}

bool FieldReader::read_number(double& field, const toml::node& node, const FieldDoc& doc,
                              const std::string& wanted) {
  const auto value = node.value<double>();
  if (!value || !std::isfinite(*value) || *value < doc.low || *value > doc.high) {
    fail(node, doc, node.is_string() ? wanted + " without quotes" : wanted);
    return false;
  }
  field = *value;
  return true;
}

void FieldReader::read(double& field, const toml::node& node, const FieldDoc& doc) {
  read_number(field, node, doc, range_words(doc));
}

void FieldReader::read(int& field, const toml::node& node, const FieldDoc& doc) {
  double value = 0;
  const std::string wanted = "a whole number" + range_words(doc).substr(8);
  if (!node.is_integer())
    return fail(node, doc, node.is_string() ? wanted + " without quotes" : wanted);
  if (read_number(value, node, doc, wanted)) field = static_cast<int>(value);
}

void FieldReader::read(bool& field, const toml::node& node, const FieldDoc& doc) {
  const auto value = node.value_exact<bool>();
  if (!value) return fail(node, doc, "true or false");
  field = *value;
}

void FieldReader::read(std::string& field, const toml::node& node, const FieldDoc& doc) {
  const auto value = node.value_exact<std::string>();
  if (!value) return fail(node, doc, "a text in quotes");
  field = *value;
}

void FieldReader::read(Vec3& field, const toml::node& node, const FieldDoc& doc) {
  const toml::array* array = node.as_array();
  if (array == nullptr || array->size() != 3) return fail(node, doc, "three numbers, as [1, 2, 3]");
  for (std::size_t i = 0; i < 3; ++i) {
    if (!read_number(field[i], *array->get(i), doc, "three numbers, each " + range_words(doc)))
      return;
  }
}

void FieldReader::read(std::vector<Vec3>& field, const toml::node& node, const FieldDoc& doc) {
  const toml::array* array = node.as_array();
  if (array == nullptr) return fail(node, doc, "a list of points, as [[1, 2, 3], [4, 5, 6]]");
  field.assign(array->size(), {});
  for (std::size_t i = 0; i < array->size() && !error_; ++i) read(field[i], *array->get(i), doc);
}

void FieldReader::read(std::vector<std::string>& field, const toml::node& node,
                       const FieldDoc& doc) {
  const toml::array* array = node.as_array();
  if (array == nullptr) return fail(node, doc, "a list of texts, as [\"2xAWG26\"]");
  field.assign(array->size(), {});
  for (std::size_t i = 0; i < array->size() && !error_; ++i) read(field[i], *array->get(i), doc);
}

void FieldReader::read(std::optional<double>& field, const toml::node& node, const FieldDoc& doc) {
  double value = 0;
  if (read_number(value, node, doc, range_words(doc))) field = value;
}

void FieldReader::read(std::optional<Vec3>& field, const toml::node& node, const FieldDoc& doc) {
  Vec3 value;
  read(value, node, doc);
  if (!error_) field = value;
}

void FieldReader::read(WirePlace& field, const toml::node& node, const FieldDoc& doc) {
  if (const auto pocket = node.value_exact<std::string>()) {
    field = WirePlace(*pocket);
    return;
  }
  if (!node.is_array())
    return fail(node, doc, "a pocket's name, a point as [1, 2, 3], or \"edge\"");
  read(field.point, node, doc);
}

}  // namespace seamwright::job_detail
