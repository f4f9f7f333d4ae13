using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Architecture;

/// <summary>The source of the bench, compiled so that names can be asked for their meaning.</summary>
internal static class BenchSource
{
    private static readonly Lazy<CSharpCompilation> _bench = new(CompileBench);

    public static CSharpCompilation Compile(params (string Path, string Text)[] extra) =>
        _bench.Value.AddSyntaxTrees(extra.Select(file => CSharpSyntaxTree.ParseText(file.Text, new CSharpParseOptions(LanguageVersion.Latest), file.Path)));

    private static CSharpCompilation CompileBench()
    {
        var folder = Path.Combine(RepositoryRoot.Path, "src", "TestRig.Bench");
        var trees = Directory.EnumerateFiles(folder, "*.cs", SearchOption.AllDirectories)
            .Select(path => (Path: Path.GetRelativePath(folder, path), Text: File.ReadAllText(path)))
            .Where(file => !file.Path.StartsWith("obj", StringComparison.Ordinal) && !file.Path.StartsWith("bin", StringComparison.Ordinal))
            .Append(("Usings.cs", "global using System; global using System.Collections.Generic; global using System.IO; global using System.Linq; global using System.Net.Http; global using System.Threading; global using System.Threading.Tasks;"))
            .Select(file => CSharpSyntaxTree.ParseText(file.Item2, new CSharpParseOptions(LanguageVersion.Latest), file.Item1))
            .ToList();
        var references = ((string)AppContext.GetData("TRUSTED_PLATFORM_ASSEMBLIES")!).Split(Path.PathSeparator)
            .Where(path => Path.GetFileName(path) is not ("TestRig.Bench.dll" or "TestRig.Bench.Tests.dll"))
            .Select(path => MetadataReference.CreateFromFile(path));
        return CSharpCompilation.Create(
            "BenchUnderInspection", trees, references,
            new CSharpCompilationOptions(OutputKind.DynamicallyLinkedLibrary, nullableContextOptions: NullableContextOptions.Enable, checkOverflow: true, allowUnsafe: true));
    }
}
