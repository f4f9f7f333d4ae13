using System.Collections.Immutable;

namespace TestRig.Bench.Files;

/// <summary>Collects the errors of one file.</summary>
internal sealed class ErrorList(string file)
{
    private readonly List<ProfileError> _errors = [];

    public bool Any => _errors.Count > 0;

    public void Add(Place place, string keyPath, string what, string remedy) =>
        _errors.Add(new(file, place.Line, place.Column, keyPath, what, remedy));

    public void Add<T>(Written<T> at, string what, string remedy) => Add(at.Place, at.KeyPath, what, remedy);

    public ImmutableArray<ProfileError> InReadingOrder() =>
        [.. _errors.Distinct().OrderBy(error => error.Line).ThenBy(error => error.Column)];
}
