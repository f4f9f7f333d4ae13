using System.Reflection;
using System.Text.RegularExpressions;

namespace TestRig.Tests.Service;

/// <summary>Every threat that the document tells of is tested, and every test of one is told of.</summary>
public sealed partial class ThreatTableTests
{
    private static readonly IReadOnlyList<string> _rows =
        [.. File.ReadLines(Path.Combine(Repository.Root, "tools", "service", "service.md")).SkipWhile(line => !line.StartsWith("| Who wants what |", StringComparison.Ordinal)).Skip(2).TakeWhile(line => line.StartsWith('|'))];

    [Fact]
    public void Every_row_names_what_stands_against_it_and_a_test()
    {
        Assert.True(_rows.Count >= 20, $"{_rows.Count} rows");
        foreach (var cells in _rows.Select(row => row.Split('|')))
        {
            Assert.Equal(6, cells.Length);
            Assert.False(string.IsNullOrWhiteSpace(cells[1]) || string.IsNullOrWhiteSpace(cells[2]), cells[1]);
            var named = TestName().Matches(cells[4]);
            Assert.True(named.Count > 0, $"no test: {cells[1]}");
            Assert.All(named, name => Assert.True(IsTest(name.Groups[1].Value, name.Groups[2].Value), $"{name.Value} is no test"));
        }
    }

    [Theory]
    [InlineData(typeof(ThreatTests))]
    [InlineData(typeof(EncryptedServiceTests))]
    public void Every_test_of_a_threat_stands_in_a_row(Type tests)
    {
        var told = _rows.SelectMany(row => TestName().Matches(row)).Where(name => name.Groups[1].Value == tests.Name).Select(name => name.Groups[2].Value).Distinct().Order();
        Assert.Equal(tests.GetMethods().Where(method => method.GetCustomAttribute<FactAttribute>() is not null).Select(method => method.Name).Order(), told);
    }

    /// <summary>A theory is a fact, too.</summary>
    private static bool IsTest(string type, string method) =>
        typeof(ThreatTableTests).Assembly.GetType($"{typeof(ThreatTableTests).Namespace}.{type}")?.GetMethod(method)?.GetCustomAttribute<FactAttribute>() is { Skip: null };

    [GeneratedRegex("`([A-Za-z]+)\\.([A-Za-z0-9_]+)`")]
    private static partial Regex TestName();
}
