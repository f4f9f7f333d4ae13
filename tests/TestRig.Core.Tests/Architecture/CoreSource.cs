using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using TestRig.Tests.Shared;

namespace TestRig.Core.Tests.Architecture;

/// <summary>The source of the core, compiled so that names can be asked for their meaning.</summary>
internal static class CoreSource
{
    public static CSharpCompilation Compile(params (string Path, string Text)[] extra)
    {
        var folder = Path.Combine(RepositoryRoot.Path, "src", "TestRig.Core");
        var trees = Directory.EnumerateFiles(folder, "*.cs", SearchOption.AllDirectories)
            .Where(path => !Path.GetRelativePath(folder, path).StartsWith("obj", StringComparison.Ordinal) && !Path.GetRelativePath(folder, path).StartsWith("bin", StringComparison.Ordinal))
            .Select(path => (Path.GetRelativePath(folder, path), File.ReadAllText(path)))
            .Concat(extra.Select(file => (file.Path, file.Text)))
            .Append(("Usings.cs", "global using System; global using System.Collections.Generic; global using System.IO; global using System.Linq; global using System.Threading; global using System.Threading.Tasks;"))
            .Select(file => CSharpSyntaxTree.ParseText(file.Item2, new CSharpParseOptions(LanguageVersion.Latest), file.Item1))
            .ToList();
        var references = ((string)AppContext.GetData("TRUSTED_PLATFORM_ASSEMBLIES")!).Split(Path.PathSeparator)
            .Where(path => !Path.GetFileName(path).StartsWith("TestRig", StringComparison.Ordinal))
            .Select(path => MetadataReference.CreateFromFile(path));
        return CSharpCompilation.Create(
            "CoreUnderInspection", trees, references,
            new CSharpCompilationOptions(OutputKind.DynamicallyLinkedLibrary, nullableContextOptions: NullableContextOptions.Enable, checkOverflow: true, allowUnsafe: true));
    }

    /// <summary>Every named type that a file mentions, by name or as the type of an expression, with the line where it does.</summary>
    public static IEnumerable<(int Line, INamedTypeSymbol Type)> TypesUsed(CSharpCompilation compilation, SyntaxTree tree)
    {
        var model = compilation.GetSemanticModel(tree);
        foreach (var node in tree.GetRoot().DescendantNodes())
        {
            var symbol = model.GetSymbolInfo(node).Symbol;
            var types = new[] { symbol as ITypeSymbol, symbol?.ContainingType, model.GetTypeInfo(node).Type };
            foreach (var type in types.SelectMany(Unwrap))
                yield return (node.GetLocation().GetLineSpan().StartLinePosition.Line + 1, type);
        }
    }

    private static IEnumerable<INamedTypeSymbol> Unwrap(ITypeSymbol? type) => type switch
    {
        IArrayTypeSymbol array => Unwrap(array.ElementType),
        INamedTypeSymbol named => named.TypeArguments.SelectMany(Unwrap).Append(named),
        _ => [],
    };
}
