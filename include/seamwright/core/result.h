#pragma once

#include <optional>
#include <stdexcept>
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace seamwright {

/// What went wrong, for a person: a stable code for tools, a message with the numbers in it, and
/// one line of context from every layer the error passed on its way up (innermost first).
struct Error {
  std::string code;     ///< stable, kebab-case: "file-truncated", "no-plan", "cancelled"
  std::string message;  ///< names the file, the place, the numbers and the remedy
  std::vector<std::string> context = {};
  std::string about = {};  ///< the maker's own name for what it is about; empty: it has none

  /// The same error with one more line of context.
  Error within(std::string layer) && {
    context.push_back(std::move(layer));
    return std::move(*this);
  }
  /// The same error, told to be about what the maker calls so.
  Error of(std::string name) && {
    about = std::move(name);
    return std::move(*this);
  }
};

/// A value or an expected failure, with the method names of `std::expected` (which g++ 12 lacks).
/// A broken contract is not an Error: it throws std::logic_error.
template <class T>
class [[nodiscard]] Result {
 public:
  Result(T value) : state_(std::in_place_index<0>, std::move(value)) {}
  Result(Error error) : state_(std::in_place_index<1>, std::move(error)) {}

  bool has_value() const { return state_.index() == 0; }
  explicit operator bool() const { return has_value(); }

  T& value() & { return checked(); }
  const T& value() const& { return const_cast<Result*>(this)->checked(); }
  T&& value() && { return std::move(checked()); }
  T& operator*() & { return checked(); }
  const T& operator*() const& { return value(); }
  T&& operator*() && { return std::move(checked()); }
  T* operator->() { return &checked(); }
  const T* operator->() const { return &value(); }

  const Error& error() const& { return std::get<1>(state_); }
  Error&& error() && { return std::get<1>(std::move(state_)); }

 private:
  T& checked() {
    if (!has_value()) throw std::logic_error("Result has no value: " + error().message);
    return std::get<0>(state_);
  }
  std::variant<T, Error> state_;
};

/// An operation that yields nothing but may fail.
using Status = Result<std::monostate>;
inline Status ok() {
  return std::monostate{};
}

/// Throws std::logic_error, in release builds too, when a contract between our own rooms is broken.
inline void require(bool holds, const char* contract) {
  if (!holds) throw std::logic_error(std::string("broken contract: ") + contract);
}

}  // namespace seamwright
