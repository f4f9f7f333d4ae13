using System.Collections.Immutable;
using System.Globalization;
using TestRig.Bench.Files;
using TestRig.Core.Boards;

namespace TestRig.Bench.Recordings;

/// <summary>Finds a board's test points among the variables of a dump.</summary>
internal static class VcdSignals
{
    /// <param name="Place">Of its bit, counted from the most significant one; 0 of a real.</param>
    public sealed record Found(BoundSignal Signal, int Code, int Place);

    /// <exception cref="RecordingException">A name of the profile is not in the dump, or more than one variable has it.</exception>
    public static ImmutableArray<Found> Of(Board board, VcdHeader header, string file)
    {
        var mapped = board.Recordings.Signals.ToDictionary(signal => signal.TestPoint);
        var found = ImmutableArray.CreateBuilder<Found>();
        foreach (var point in board.TestPoints)
        {
            var map = mapped.GetValueOrDefault(point.Name);
            var name = map?.Name ?? point.Name;
            var variables = header.Variables.Where(variable => IsCalled(variable, name)).ToList();
            var (bit, inside) = (default(int?), variables);
            if (variables.Count == 0 && name.EndsWith(']') && name.LastIndexOf('[') is > 0 and var bracket && int.TryParse(name[(bracket + 1)..^1], NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var number))
                (bit, inside) = (number, header.Variables.Where(variable => variable.Size > 1 && IsCalled(variable, name[..bracket])).ToList());
            if (inside.Count == 0 && map is not null)
            {
                throw new RecordingException(
                    file, 0, $"the profile's recordings.signals calls {point.Name} '{name}', and the dump has no such variable",
                    NearestName.Suggest(name, header.Variables.Select(variable => variable.Path), "variables"));
            }
            foreach (var kind in inside.GroupBy(variable => variable.IsReal))
            {
                if (kind.DistinctBy(variable => variable.Code).Skip(1).Any())
                {
                    throw new RecordingException(
                        file, 0, $"several variables are called '{name}': {string.Join(", ", kind.Select(variable => variable.Path).Distinct().Take(5))}",
                        $"say which one {point.Name} is in the profile, with its scopes: 'recordings: {{ signals: {{ {point.Name}: {{ name: {kind.First().Path} }} }} }}'");
                }
                var variable = kind.First();
                if (!variable.IsReal && variable.Size > 1 && bit is null)
                {
                    throw new RecordingException(
                        file, 0, $"'{variable.Path}' has {variable.Size.ToString(CultureInfo.InvariantCulture)} bits, and a test point has one",
                        $"say which one {point.Name} is in the profile: 'recordings: {{ signals: {{ {point.Name}: {{ name: \"{variable.Path}[0]\" }} }} }}'");
                }
                var place = bit is { } wanted && !variable.IsReal
                    ? variable.PlaceOf(wanted) ?? throw new RecordingException(file, 0, $"'{variable.Path}' has no bit {wanted.ToString(CultureInfo.InvariantCulture)}", "its range stands behind its name in the dump")
                    : 0;
                found.Add(new(new(point.Name, bit is null ? variable.Path : $"{variable.Path}[{bit.Value.ToString(CultureInfo.InvariantCulture)}]", variable.IsReal), variable.Code, place));
            }
        }
        return found.ToImmutable();
    }

    /// <summary>By its name, or with some or all of its scopes in front.</summary>
    private static bool IsCalled(VcdVariable variable, string name)
    {
        if (variable.Name == name || variable.Path == name)
            return true;
        var own = variable.Path[(variable.Scope.Length > 0 ? variable.Scope.Length + 1 : 0)..];
        return name.EndsWith(own, StringComparison.Ordinal) && (name.Length == own.Length || variable.Path.EndsWith("." + name, StringComparison.Ordinal));
    }
}
