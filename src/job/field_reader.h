#pragma once

// Header-only: the packaged library is built with exceptions.
#define TOML_HEADER_ONLY 1
#define TOML_EXCEPTIONS 0
#include <toml++/toml.h>

#include <string>
#include <string_view>
#include <vector>

#include "seamwright/core/describe.h"
#include "seamwright/core/result.h"
#include "seamwright/core/vec.h"
#include "seamwright/wiring/wiring_spec.h"

namespace seamwright::job_detail {

/// The known word with the fewest edits to `word`.
std::string nearest_word(std::string_view word, const std::vector<std::string>& known);

/// "beetle.toml:12"
std::string place(const std::string& file, const toml::node& node);

/// A describe() visitor that fills a settings struct from one TOML table. Remembers the first error
/// and every key it was offered, so that the keys nobody asked for can be named.
class FieldReader {
 public:
  FieldReader(const toml::table& table, std::string file, std::string section)
      : table_(table), file_(std::move(file)), section_(std::move(section)) {}

  template <class Field>
  void operator()(Field& field, const FieldDoc& doc) {
    known_.emplace_back(doc.key);
    const toml::node* node = table_.get(doc.key);
    if (node != nullptr && !error_) read(field, *node, doc);
  }

  /// The first error, or that of a key no field asked for.
  Status finish() const;

 private:
  void fail(const toml::node& node, const FieldDoc& doc, const std::string& wanted);
  bool read_number(double& field, const toml::node& node, const FieldDoc& doc,
                   const std::string& wanted);

  void read(double& field, const toml::node& node, const FieldDoc& doc);
  void read(int& field, const toml::node& node, const FieldDoc& doc);
  void read(bool& field, const toml::node& node, const FieldDoc& doc);
  void read(std::string& field, const toml::node& node, const FieldDoc& doc);
  void read(Vec3& field, const toml::node& node, const FieldDoc& doc);
  void read(std::vector<Vec3>& field, const toml::node& node, const FieldDoc& doc);
  void read(std::vector<std::string>& field, const toml::node& node, const FieldDoc& doc);
  void read(std::optional<double>& field, const toml::node& node, const FieldDoc& doc);
  void read(std::optional<Vec3>& field, const toml::node& node, const FieldDoc& doc);
  void read(WirePlace& field, const toml::node& node, const FieldDoc& doc);
  template <named_enum E>
  void read(E& field, const toml::node& node, const FieldDoc& doc) {
    const auto word = node.value<std::string_view>();
    const auto value = word ? value_named<E>(*word) : std::nullopt;
    if (value) {
      field = *value;
      return;
    }
    std::string wanted = "one of";
    for (const auto& entry : names(E{})) wanted += " " + std::string(entry.first);
    fail(node, doc, wanted);
  }

  const toml::table& table_;
  std::string file_, section_;
  std::vector<std::string> known_;
  std::optional<Error> error_;
};

}  // namespace seamwright::job_detail
